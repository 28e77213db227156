"""What the pages of a kept plan show."""

from typing import Any, NamedTuple

from registry.engineering.line import LineLoad
from registry.exchange.designs import FILES
from registry.planning.computing import Fitted
from registry.planning.design import DesignedLine
from registry.planning.design_tables import Tables
from registry.planning.kept import KeptPlan, changed_since, fitted_as, kept_of
from registry.planning.models import FoldPlan, PlanDecision
from registry.planning.parts_list import cable_list, parts_list
from registry.planning.queries import acceptance_of, accepted_plans
from registry.planning.standing import Standing, standing_of
from registry.planning.surroundings import surroundings
from registry.web.planning.plan_shown import plan_shown

OPEN = ("proposed", "accepted")


class TableShown(NamedTuple):
    """One table of a design, with the columns that hold anything."""

    name: str
    columns: list[str]
    rows: list[list[Any]]


class LineShown(NamedTuple):
    """One designed line with its load."""

    line: DesignedLine
    load: LineLoad


class Opened(NamedTuple):
    """A kept plan, opened: what it was computed from, how it stands, and its design."""

    plan: FoldPlan
    kept: KeptPlan
    standing: Standing
    acceptance: PlanDecision | None
    fitted: Fitted


def opened(plan: FoldPlan) -> Opened:
    """Open a kept plan whose decisions are loaded. Two queries."""
    kept, acceptance = kept_of(plan), acceptance_of(plan)
    standing = standing_of(plan, accepted_plans([plan.site_id]).get(plan.site_id))
    return Opened(plan, kept, standing, acceptance, fitted_as(kept, acceptance))


def shown_of(found: Opened, *, ident: str = "plan") -> dict[str, Any]:
    """Return what the templates of a plan need."""
    kept = found.kept
    loudspeakers = {row.name: row.loudspeakers for row in kept.rows}
    return plan_shown(
        found.fitted,
        zones=kept.zones,
        around=kept.around,
        minutes=kept.minutes,
        loudspeakers=loudspeakers,
        ident=ident,
    )


def kept_page(plan: FoldPlan) -> dict[str, Any]:
    """Return the context of a kept plan's page."""
    found = opened(plan)
    kept, fitted = found.kept, found.fitted
    may_change = found.standing.word in OPEN
    return {
        "plan": plan,
        "site": plan.site,
        "kept": kept,
        "standing": found.standing,
        "decisions": sorted(plan.decisions.all(), key=lambda decision: -decision.pk),
        "acceptance": found.acceptance,
        "changed": changed_since(kept, surroundings(plan.site)) if may_change else [],
        "shown": shown_of(found),
        "sources": _sources(kept),
        "lines": [LineShown(line, load) for line, load in zip(fitted.design.lines, fitted.loads, strict=True)],
        "parts": parts_list(fitted.design, kept.zones, prices={o.name: o.price for o in kept.offered}),
        "cables": cable_list(fitted.design),
        "tables": tables_shown(found.acceptance.design["tables"])
        if found.acceptance and found.acceptance.design
        else [],
        "currency": kept.currency,
        "refusals": kept.refusals,
        "left_out": kept.left_out,
        "notes": kept.notes,
    }


def _sources(kept: KeptPlan) -> list[tuple[str, str, str]]:
    """Where each zone's two figures come from: wanted level, level at 2.83 V."""
    by_name = {row.name: row for row in kept.rows}
    return [(zone.name, by_name[zone.name].wanted_from, by_name[zone.name].level_from) for zone in kept.zones]


def tables_shown(tables: Tables) -> list[TableShown]:
    """Return the tables of a design, columns in the survey's order; one that is empty everywhere is left out."""
    found = []
    for name, survey_file in FILES.items():
        rows = tables[name]
        names = [column.name for column in survey_file.columns if column.name != "site"]
        columns = [column for column in names if any(row.get(column) not in (None, "") for row in rows)]
        found.append(TableShown(name, columns, [[row.get(column) for column in columns] for row in rows]))
    return [table for table in found if table.rows]
