"""The restore sheet as a printed sheet: the same data as its page."""

from collections.abc import Mapping
from typing import Any

from registry.baselines.models import Baseline
from registry.baselines.restore_sheet import Group
from registry.reports.sheet import (
    Blanks,
    Block,
    Cell,
    Check,
    CheckGroup,
    Checks,
    Column,
    Lines,
    Section,
    Sheet,
    Table,
    Words,
)
from registry.reports.wording import day
from registry.web.baselines.sheet_page import ZoneLine, sheet_page

FILL = ("Dial", "Cap", "Background", "Level")
EMPTY = ("",) * len(FILL)


def printed_sheet(baseline: Baseline, groups: list[Group]) -> Sheet:
    """Return the sheet of a baseline, from what the page shows."""
    page = sheet_page(baseline, groups)
    site = baseline.site
    frozen_on = day(baseline.frozen_at.astimezone(site.zone_info).date())
    return Sheet(
        title=f"Restore sheet: {site}",
        answer=f"Baseline {baseline.number}, frozen {frozen_on} by {baseline.author}: {baseline.reason}",
        dated=baseline.frozen_at,
        head=_head(baseline, page),
        cautions=(*page["cautions"], *_excluded(page["excluded"])),
        sections=_sections(page["places"], page["zones"]),
    )


def _head(baseline: Baseline, page: Mapping[str, Any]) -> tuple[Block, ...]:
    site = baseline.site
    parts = (
        site.address.replace("\n", ", "),
        f"{site.client}: {site.client.phone}" if site.client.phone else "",
        f"Access: {site.access_notes.strip()}" if site.access_notes.strip() else "",
        f"Meter then: {page['meters'] or 'not known'}. Track: {page['tracks'] or 'not known'}",
        f"Printed {page['printed']}",
    )
    where = " ".join(f"{part.removesuffix('.')}." for part in parts if part)
    missing = (Words(f"Exceptions: {' '.join(baseline.exceptions)}"),) if baseline.exceptions else ()
    order = (Words(page["order"]),) if page["zones"] else ()
    return (Words(where), Blanks(("Day", "Tech", "Meter, if another")), *missing, *order)


def _excluded(reasons: list[tuple[str, str]]) -> tuple[str, ...]:
    return tuple(f"{names}: not to be altered. {why}" for names, why in reasons)


def _sections(places: list[Group], zones: list[ZoneLine]) -> tuple[Section, ...]:
    found = Section("Before you change anything: read every zone as found", (_found(zones),))
    checks = Checks(tuple(_settings(group) for group in places))
    settings = Section("Settings, in this order: note what differs, then set", (checks,))
    levels = Section("Zones: set, read again", (_zones(zones),))
    end = Section("Could not be set, and why", (Lines(2), Blanks(("Signed", "Heard by"))))
    work = [section for section, has_work in ((found, zones), (settings, places), (levels, zones)) if has_work]
    numbered = [Section(f"{number}. {each.heading}", each.blocks) for number, each in enumerate(work, start=1)]
    return (*numbered, end)


def _settings(group: Group) -> CheckGroup:
    checks = tuple(Check(step.setting, step.shown or "empty") for step in group.steps)
    return CheckGroup(group.name, checks, group.detail)


def _found(zones: list[ZoneLine]) -> Table:
    columns = (Column("Zone, spot", 3.4), Column("Level then", 1.2), Column(""), *_blanks())
    return Table(columns, tuple(_as_found(zone) for zone in zones))


def _as_found(zone: ZoneLine) -> tuple[Cell | str, ...]:
    return Cell(zone.group.name, zone.group.detail, strong=True), zone.level or "not known", "found", *EMPTY


def _zones(zones: list[ZoneLine]) -> Table:
    known = (Column("Zone", 2.0), Column("Source", 1.2), Column("Cap"), Column("Dial"), Column("Level"), Column(""))
    return Table((*known, *_blanks()), tuple(_zone(zone) for zone in zones))


def _blanks() -> tuple[Column, ...]:
    return tuple(Column(word, 1.3 if word == "Background" else 0.9, fill=True) for word in FILL)


def _zone(zone: ZoneLine) -> tuple[Cell | str, ...]:
    return (
        Cell(zone.group.name, strong=True),
        Cell(zone.source, box=bool(zone.source)),
        Cell(zone.cap, box=bool(zone.cap)),
        Cell(zone.dial, box=bool(zone.dial)),
        Cell(zone.level or "not known", f"± {zone.tolerance}" if zone.level else "", strong=bool(zone.level)),
        "left",
        *EMPTY,
    )
