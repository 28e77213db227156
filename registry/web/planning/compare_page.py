"""Two kept plans side by side."""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from registry.engineering.wording import listed
from registry.planning.models import FoldPlan
from registry.planning.queries import fold_plans_visible_to
from registry.web.planning.plan_page import Opened, opened
from registry.web.planning.plan_shown import error_shown
from sites.models import Site, User

NOTHING = "not in this plan"


class Row(NamedTuple):
    """One property on both sides."""

    label: str
    before: str
    after: str

    @property
    def differs(self) -> bool:
        """Whether the two sides are not the same."""
        return self.before != self.after


def compare_page(user: User, site: Site, query: Mapping[str, Any]) -> dict[str, Any]:
    """Return the context of the comparison: `a` and `b` are numbers of plans, else the two kept last."""
    plans = list(fold_plans_visible_to(user).filter(site=site))
    choices = [(str(plan.number), f"Plan {plan.number}: {plan.title}") for plan in plans]
    if len(plans) < 2:
        return {"choices": choices, "before": None, "after": None, "groups": []}
    before = _plan(query.get("a", ""), plans) or plans[1]
    after = _plan(query.get("b", ""), plans) or plans[0]
    one, other = opened(before), opened(after)
    groups = [
        ("Plan", _whole(one, other)),
        ("Level of each zone", _zones(one, other)),
        ("Load of each zone's channels", _loads(one, other)),
    ]
    return {"choices": choices, "before": before, "after": after, "groups": groups}


def _plan(number: str, plans: Sequence[FoldPlan]) -> FoldPlan | None:
    return next((plan for plan in plans if str(plan.number) == number), None)


def _whole(one: Opened, other: Opened) -> list[Row]:
    left, right = _facts(one), _facts(other)
    return [Row(label, left[label], right[label]) for label in left if left[label] or right[label]]


def _facts(found: Opened) -> dict[str, str]:
    plan, fitted, kept = found.fitted.plan, found.fitted, found.kept
    price = "not known" if fitted.price is None else f"{fitted.price:,.2f} {kept.currency}".strip()
    work = fitted.work
    return {
        "Stands": found.standing.words,
        "Amplifiers": str(len(plan.amplifiers)),
        "To be bought": ", ".join(f"{count} × {name}" for name, count in fitted.bought.items()) or "none",
        "Price": price,
        "Hours": f"{work.hours(kept.minutes):.1f} ({work.terminations} terminations, {work.at_height} at height)",
        "New cable runs": str(work.new_runs),
        "Furthest off": f"{plan.worst.zone} {error_shown(plan.worst.error_db)}",
        "Sum of level errors": f"{plan.level_error_db:.1f} dB",
        "Zones in series strings": listed(plan.in_series) if plan.in_series else "none",
        "One open coil silences others in": f"{len(plan.single_faults)} strings",
        "Penalty": f"{plan.penalty:.1f}",
        "Kept": f"{found.plan.saved_at.astimezone(found.plan.site.zone_info):%Y-%m-%d} by {found.plan.author}",
        "Why rejected": found.standing.decision.reason
        if found.standing.word == "rejected" and found.standing.decision
        else "",
    }


def _zones(one: Opened, other: Opened) -> list[Row]:
    left, right = _levels(one), _levels(other)
    return [Row(name, left.get(name, NOTHING), right.get(name, NOTHING)) for name in dict.fromkeys([*left, *right])]


def _levels(found: Opened) -> dict[str, str]:
    places = {box.number: box.seat.place for box in found.fitted.design.boxes}
    return {
        fit.zone: f"{error_shown(fit.error_db)} of {fit.wanted_db:.1f} dB, on {places[amplifier.number]}"
        for amplifier in found.fitted.plan.amplifiers
        for fit in amplifier.zones
    }


def _loads(one: Opened, other: Opened) -> list[Row]:
    left, right = _ohms(one), _ohms(other)
    return [Row(name, left.get(name, NOTHING), right.get(name, NOTHING)) for name in dict.fromkeys([*left, *right])]


def _ohms(found: Opened) -> dict[str, str]:
    ohms: dict[str, list[str]] = {}
    for line, load in zip(found.fitted.design.lines, found.fitted.loads, strict=True):
        for zone in line.zones:
            shown = "not known" if load.impedance_ohm is None else f"{load.impedance_ohm:.2f} Ω"
            ohms.setdefault(zone, []).append(shown)
    return {zone: " and ".join(found) for zone, found in sorted(ohms.items())}
