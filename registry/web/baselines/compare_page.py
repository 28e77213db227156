"""What the comparison of two states of a site shows."""

from collections.abc import Mapping
from itertools import groupby
from typing import Any, NamedTuple

from registry.baselines.models import Baseline
from registry.baselines.queries import baselines_visible_to
from registry.baselines.snapshot import Content, Difference, side_by_side, site_now
from registry.web.baselines.words import SUBJECTS, label_of, value_of
from sites.models import Site, User

NOW = "now"


class State(NamedTuple):
    """One side of the comparison: how it is chosen, what it is called, and its content."""

    choice: str
    title: str
    content: Content


class Row(NamedTuple):
    """One value on both sides, in words."""

    label: str
    before: str
    after: str
    differs: bool


class Compared(NamedTuple):
    """One place, zone or line: what differs in it, or on which side it is missing."""

    subject: str
    name: str
    missing_in: str
    rows: list[Row]


def compare_page(user: User, site: Site, query: Mapping[str, Any]) -> dict[str, Any]:
    """Return the context of the comparison: `a` and `b` are baseline numbers or now; `all` shows equal values too."""
    known = list(baselines_visible_to(user).filter(site=site).order_by("-number"))
    choices = [(NOW, "Now"), *((str(found.number), _title(found, site)) for found in known)]
    before, after = _state(query.get("a", ""), known, site), _state(query.get("b", NOW), known, site)
    if before is None and known:
        before = _state(str(known[0].number), known, site)
    everything = bool(query.get("all"))
    context = {"choices": choices, "before": before, "after": after, "everything": everything}
    if before is None or after is None:
        return context | {"groups": [], "count": 0}
    rows = side_by_side(before.content, after.content)
    differing = [row for row in rows if row.before != row.after]
    groups = [
        _compared(subject, name, list(found), before, after, site)
        for (subject, name), found in groupby(rows if everything else differing, lambda row: (row.subject, row.name))
    ]
    return context | {"groups": groups, "count": len(differing), "things": _things(differing)}


def _title(baseline: Baseline, site: Site) -> str:
    return f"Baseline {baseline.number} of {baseline.frozen_at.astimezone(site.zone_info):%Y-%m-%d}"


def _state(choice: str, known: list[Baseline], site: Site) -> State | None:
    if choice == NOW:
        return State(NOW, "Now", site_now(site))
    found = next((baseline for baseline in known if str(baseline.number) == choice), None)
    return State(choice, f"Baseline {found.number}", found.content) if found else None


def _compared(subject: str, name: str, rows: list[Difference], before: State, after: State, site: Site) -> Compared:
    missing = [state.title for state in (before, after) if name not in state.content.get(subject, {})]
    shown = [
        Row(
            label_of(row.key),
            value_of(row.key, row.before, site),
            value_of(row.key, row.after, site),
            row.before != row.after,
        )
        for row in rows
    ]
    return Compared(SUBJECTS[subject], name, missing[0] if missing else "", shown)


def _things(differing: list[Difference]) -> int:
    return len({(row.subject, row.name) for row in differing})
