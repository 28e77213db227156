"""What a baseline's page shows: the frozen copy, and what was done with it."""

from typing import Any, NamedTuple

from django.urls import reverse

from registry.baselines.models import Baseline
from registry.baselines.queries import baselines_visible_to, restores_visible_to
from registry.baselines.snapshot import POWER_CUT_KEY
from registry.web.baselines.words import value_of
from registry.web.lists import Column
from sites.models import User


def baseline_address(baseline: Baseline) -> str:
    """Return the address of a baseline's page."""
    return reverse("baseline", args=[baseline.pk])


BASELINE_COLUMNS = (
    Column(heading="Baseline", value=lambda row: row.number, sort=("number",), link=baseline_address),
    Column(
        heading="Frozen on",
        value=lambda row: row.frozen_at.astimezone(row.site.zone_info).date(),
        kind="day",
        sort=("frozen_at",),
    ),
    Column(heading="By", value=lambda row: str(row.author)),
    Column(heading="Why", value=lambda row: row.reason),
    Column(heading="Exceptions", value=lambda row: len(row.exceptions), kind="number"),
)


class FrozenPlace(NamedTuple):
    """A place as it was: what filled it, and its settings."""

    name: str
    item: str
    settings: list[tuple[str, str]]


def baseline_page(user: User, baseline: Baseline) -> dict[str, Any]:
    """Return the context of a baseline's page."""
    content = baseline.content
    newest = baselines_visible_to(user).filter(site=baseline.site_id).order_by("-number").first()
    restores = restores_visible_to(user).filter(site=baseline.site_id).select_related("signed_by")
    return {
        "newest": newest,
        "zones": [(name, _shown(zone, baseline)) for name, zone in sorted(content["zones"].items())],
        "lines": [(name, _shown(line, baseline), line["verdict"]) for name, line in sorted(content["lines"].items())],
        "places": [_place(name, place) for name, place in sorted(content["places"].items())],
        "restores": [restore for restore in restores if restore.baseline_id == baseline.pk],
        "open_restore": next((restore for restore in restores if restore.is_open), None),
    }


def _shown(entry: dict[str, Any], baseline: Baseline) -> dict[str, str]:
    return {key: value_of(key, value, baseline.site) for key, value in entry.items()}


def _place(name: str, place: dict[str, Any]) -> FrozenPlace:
    facts = [place["model"], place["tag"], place["serial"] and f"serial {place['serial']}"]
    settings = [(key, f"{value} {unit}".rstrip() or "empty") for key, (value, unit) in place["settings"].items()]
    settings.sort(key=lambda setting: setting[0] == POWER_CUT_KEY)
    return FrozenPlace(name, ", ".join(str(fact) for fact in facts if fact) or "nothing was in it", settings)
