"""The lists of an owner's report: their columns, and one row each."""

from collections import defaultdict
from datetime import date
from typing import Final

from registry.reports import owners_words as words
from registry.reports.owners_figures import Equipment, OpenFinding, OwnersFigures, ZoneState
from registry.reports.sheet import Cell, Column
from registry.reports.wording import day

Row = tuple[Cell | str, ...]

ZONES: Final = (Column("Zone", 2.0), Column("Level", 2.0))
FINDINGS: Final = (
    Column("How bad", 1.3),
    Column("What", 3.6),
    Column("Where", 1.5),
    Column("To be done", 1.2),
    Column("Found", 0.9),
)
EQUIPMENT: Final = (
    Column("Place", 1.8),
    Column("What", 2.0),
    Column("Installed", 1.1),
    Column("Age, years", 0.7, number=True),
    Column("Warranty until", 1.1),
    Column("Expected until", 1.1),
    Column("Years left", 0.7, number=True),
    Column("Price today", 1.2, number=True),
)
MODELS: Final = (
    Column("Model", 2.4),
    Column("Items", 0.8, number=True),
    Column("Oldest installed", 1.2),
    Column("Without a date", 1.0, number=True),
    Column("Past expected life", 1.0, number=True),
    Column("Price of one", 1.2, number=True),
)
LOUDSPEAKERS: Final = (
    Column("Zone", 2.0),
    Column("Model", 2.0),
    Column("Pieces", 0.7, number=True),
    Column("Useful life, years", 1.0, number=True),
    Column("Price of one", 1.2, number=True),
)


def zone_row(zone: ZoneState, figures: OwnersFigures) -> Row:
    """Return a zone and how its level stands."""
    return _at(zone.zone, "", zone.site, figures), zone.state


def _at(name: str, within: str, site: str, figures: OwnersFigures) -> Cell:
    """Return where something is; the site is named where there are several."""
    where = [within, site if len(figures.sites) > 1 else ""]
    return Cell(name, ", ".join(filter(None, where)), strong=True)


def finding_row(finding: OpenFinding) -> Row:
    """Return what was found, how bad it is and what is planned."""
    where = f"{finding.about}, {finding.site}" if finding.about else finding.site
    return Cell(finding.severity, strong=True), finding.says, where, finding.follow_up, day(finding.found_on)


def equipment_row(each: Equipment, figures: OwnersFigures) -> Row:
    """Return an item with its place, age, warranty, expected end and price."""
    return (
        _at(each.place or "no place", each.rack, each.site, figures),
        Cell(each.what, f"{each.kind}, {each.tag}"),
        words.day_or_unknown(each.installed_on),
        words.age(each, figures.today),
        words.day_or_unknown(each.warranty_until),
        words.day_or_unknown(each.expected_end),
        words.left(each, figures.today),
        words.price(each.price, each.currency),
    )


def loudspeaker_row(each: Equipment, figures: OwnersFigures) -> Row:
    """Return the loudspeakers of one model in one zone."""
    cells = each.what, f"{each.count:,}", words.life_years(each.life), words.price(each.price, each.currency)
    return _at(each.place, "", each.site, figures), *cells


def by_model(figures: OwnersFigures) -> list[Row]:
    """Return a row for every model in use, the one with most items first."""
    found: dict[str, list[Equipment]] = defaultdict(list)
    for each in figures.equipment:
        found[each.what].append(each)
    in_order = sorted(found.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    return [_model(what, items, figures.today) for what, items in in_order]


def _model(what: str, items: list[Equipment], today: date) -> Row:
    days = [each.installed_on for each in items if each.installed_on]
    past = sum(each.expected_end is not None and each.expected_end < today for each in items)
    return (
        Cell(what, items[0].kind, strong=True),
        f"{len(items):,}",
        words.day_or_unknown(min(days, default=None)),
        f"{len(items) - len(days):,}",
        f"{past:,}",
        words.price(items[0].price, items[0].currency),
    )
