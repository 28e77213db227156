"""The owner's report as a sheet: the page shows its blocks, the PDF prints them, so both say the same."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, time
from typing import Final

from registry.drawings.bars import Bar, BarChart, draw_bars
from registry.drawings.level_strip import describe, draw_level_strip
from registry.reports import owners_words as words
from registry.reports.owners_figures import MoneyPlan, OwnersFigures, ZoneState
from registry.reports.owners_lists import (
    EQUIPMENT,
    FINDINGS,
    LOUDSPEAKERS,
    MODELS,
    ZONES,
    by_model,
    equipment_row,
    finding_row,
    loudspeaker_row,
    zone_row,
)
from registry.reports.sheet import Block, Caution, Cell, Column, Drawing, Drawings, Points, Section, Sheet, Table, Words
from registry.reports.wording import day

MOST_LISTED: Final = 300  # items; beyond it the paper lists models, and the workbook every item
MOST_ROWS: Final = 40
MOST_STRIPS: Final = 24
YEAR_COST: Final = (Column("Year", 1.0), Column("Pieces to replace", 1.0, number=True))
CALLS: Final = (
    Column("What it came from", 3.0),
    Column("Calls", 1.0, number=True),
    Column("Minutes of work", 1.0, number=True),
    Column("Calls without minutes", 1.0, number=True),
)
LIVES: Final = (
    Column("Equipment", 2.0),
    Column("Pieces", 0.7, number=True),
    Column("Useful life, years", 1.0, number=True),
    Column("Where the figure is from", 3.5),
)


def owners_sheet(figures: OwnersFigures) -> Sheet:
    """Return the report, ready for page and paper."""
    sites = ", ".join(figures.sites[:MOST_ROWS])
    more = len(figures.sites) - MOST_ROWS
    of = sites + (f" and {more} more sites" if more > 0 else "")
    return Sheet(
        title=f"Owner's report: {figures.about}",
        answer=words.answer(figures),
        dated=datetime.combine(figures.today, time.min, tzinfo=UTC),
        head=(Words(f"{figures.client}: {of}. As of {day(figures.today)}."),),
        sections=tuple(_sections(figures)),
    )


def _sections(figures: OwnersFigures) -> Iterator[Section]:
    if hazards := tuple(_hazards(figures)):
        yield Section("Safety first", hazards)
    yield Section("Sound level in the zones", tuple(_zones(figures)))
    yield Section("Found and not done yet", tuple(_findings(figures)))
    yield Section("Visits", (Points(words.visit_words(figures)),))
    yield Section("Service calls", tuple(_calls(figures)))
    yield Section("Age of the equipment", tuple(_ages(figures)))
    for plan in figures.money:
        yield Section(f"Replacement cost by year, {plan.currency or words.NO_CURRENCY}", tuple(_money(plan, figures)))
    if not figures.money:
        yield Section("Replacement cost by year", (Words("No price is recorded, so no cost can be given."),))
    yield Section("Warranties that end within 90 days", tuple(_warranties(figures)))
    yield Section("What has changed since the last report", tuple(_changes(figures)))
    yield Section("Equipment", tuple(_equipment(figures)))
    if figures.loudspeakers:
        yield Section("Loudspeakers", tuple(_loudspeakers(figures)))
    yield Section("How this was worked out", tuple(_assumed(figures)))


def _hazards(figures: OwnersFigures) -> Iterator[Caution]:
    for each in figures.findings:
        if each.is_hazard:
            yield Caution(f"{each.says.rstrip('.')} ({each.site}). To be done: {each.follow_up}.")
    for line in figures.lines:
        if line.is_unsafe:
            yield Caution(f"Line {line.line} ({line.site}) must not be switched on as it is wired. {line.says}")


def _first(
    columns: tuple[Column, ...], rows: Sequence[tuple[Cell | str, ...]], most: int = MOST_ROWS
) -> Iterator[Block]:
    """Yield a table that a reader can take in; what is left out is in the workbook, and this is said."""
    if len(rows) > most:
        yield Words(f"The first {most} of {len(rows):,}; all of them are in the workbook (XLSX).")
    yield Table(columns, tuple(rows[:most]))


def _named(sentences: Sequence[str]) -> Iterator[Block]:
    if len(sentences) > MOST_ROWS:
        yield Words(f"The first {MOST_ROWS} of {len(sentences):,}; all of them are in the workbook (XLSX).")
    yield Points(tuple(sentences[:MOST_ROWS]))


def _zones(figures: OwnersFigures) -> Iterator[Block]:
    if not figures.zones:
        yield Words("No zone is recorded yet.")
        return
    yield Words(
        "A zone is the part of the site that is meant to sound alike. The notch is the agreed level, the band what "
        "may differ, the dot the last measurement; dB (decibel) is the unit, and 3 dB is what most people notice. "
        "Within, out and undecided stand for as agreed, not as agreed and too close to tell."
    )
    yield from _first(ZONES, [zone_row(each, figures) for each in figures.zones])
    shown = figures.zones[:MOST_STRIPS]
    yield Drawings(tuple(_strip(each, number, figures) for number, each in enumerate(shown)))


def _strip(zone: ZoneState, number: int, figures: OwnersFigures) -> Drawing:
    name = f"{zone.zone}, {zone.site}" if len(figures.sites) > 1 else zone.zone
    return Drawing(draw_level_strip(zone.strip, ident=f"zone-{number}"), f"{name}: {describe(zone.strip)}", name)


def _findings(figures: OwnersFigures) -> Iterator[Block]:
    if figures.findings:
        yield from _first(FINDINGS, [finding_row(each) for each in figures.findings])
    else:
        yield Words("Nothing is open.")
    if broken := [each for each in figures.lines if not each.is_unsafe]:
        yield Words("Lines that were not in order when they were last measured:")
        yield from _named([f"{each.line}, {each.site}: {each.says}." for each in broken])


def _calls(figures: OwnersFigures) -> Iterator[Block]:
    if not figures.calls:
        yield Words(f"No call was recorded since {day(figures.since)}.")
        return
    yield Words(f"Since {day(figures.since)}:")
    rows = [(each.cause, f"{each.calls:,}", f"{each.minutes:,}", f"{each.unnoted:,}") for each in figures.calls]
    yield Table(CALLS, tuple(rows))


def _ages(figures: OwnersFigures) -> Iterator[Block]:
    yield Words(words.counted_items(figures))
    bars = tuple(Bar(band.ages, band.items, f"{band.items:,}") for band in figures.ages)
    chart = BarChart("Items by age", bars)
    said = "; ".join(f"{band.ages}: {band.items:,}" for band in figures.ages)
    yield Drawing(draw_bars(chart, ident="ages"), f"Items by age. {said}.")
    if figures.past_life:
        yield Words("Past their expected life:")
        yield from _named([words.past(each, figures) for each in figures.past_life])


def _money(plan: MoneyPlan, figures: OwnersFigures) -> Iterator[Block]:
    yield Points(words.money_words(plan, figures))
    bars = tuple(Bar(each.year, each.cost, f"{each.cost:,}") for each in plan.years)
    said = "; ".join(f"{each.year}: {words.amount(each.cost, plan.currency)}" for each in plan.years)
    drawing = draw_bars(BarChart(f"Replacement cost by year, {plan.currency}", bars), ident=f"cost-{plan.currency}")
    yield Drawing(drawing, f"Replacement cost by year. {said}.")
    rows = [(each.year, f"{each.pieces:,}", f"{each.cost:,}") for each in plan.years]
    total = (Cell("Total", strong=True), f"{sum(each.pieces for each in plan.years):,}", f"{plan.total:,}")
    yield Table((*YEAR_COST, Column(f"Cost, {plan.currency}", 1.0, number=True)), (*rows, total))


def _warranties(figures: OwnersFigures) -> Iterator[Block]:
    items = f"{len(figures.equipment):,}"
    unknown = f"The end of warranty is not known for {figures.without_warranty:,} of {items} items."
    if not figures.warranties:
        yield Words(f"None. {unknown}")
        return
    yield Words(unknown)
    yield from _named([words.warranty(each, figures) for each in figures.warranties])


def _changes(figures: OwnersFigures) -> Iterator[Block]:
    if figures.compared_with is None:
        yield Words("No earlier report is recorded, so there is nothing to compare with.")
    elif not figures.changes:
        yield Words(f"Nothing since the report of {day(figures.compared_with)}.")
    else:
        yield Words(f"Since the report of {day(figures.compared_with)}:")
        yield Points(figures.changes)


def _equipment(figures: OwnersFigures) -> Iterator[Block]:
    if not figures.equipment:
        yield Words("No equipment in use is recorded.")
    elif len(figures.equipment) > MOST_LISTED:
        count = f"{len(figures.equipment):,}"
        yield Words(f"{count} items by model; every item with its place stands in the workbook (XLSX).")
        yield from _first(MODELS, by_model(figures), MOST_LISTED // 2)
    else:
        yield Table(EQUIPMENT, tuple(equipment_row(each, figures) for each in figures.equipment))


def _loudspeakers(figures: OwnersFigures) -> Iterator[Block]:
    yield Words("Loudspeakers count in the yearly sum, but in no year: no day of installation is recorded of them.")
    yield from _first(LOUDSPEAKERS, [loudspeaker_row(each, figures) for each in figures.loudspeakers])


def _assumed(figures: OwnersFigures) -> Iterator[Block]:
    yield Points(words.assumptions(figures))
    rows = [
        (each.what, f"{each.pieces:,}", words.life_years(each.life), words.life_source(each.life))
        for each in figures.lives
    ]
    yield from _first(LIVES, rows)
