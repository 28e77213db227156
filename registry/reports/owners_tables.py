"""The owner's report as the sheets of a workbook: the same figures, as numbers and dates; every item, however many."""

from collections.abc import Iterable, Iterator
from typing import Any

from registry.reports import owners_words as words
from registry.reports.owners_figures import OwnersFigures
from registry.reports.tables import Table, TableColumn


def owners_tables(figures: OwnersFigures) -> list[Table]:
    """Return the tables of the report, the summary first."""
    return [
        _table("Summary", "What|Value", [*_summary(figures)]),
        _table("Zones", "Zone|Site|Level", ((each.zone, each.site, each.state) for each in figures.zones)),
        _table("Findings", "How bad|What|About|Site|To be done|Found", _findings(figures)),
        _table(
            "Calls",
            "What it came from|Calls|Minutes of work|Calls without minutes",
            ((each.cause, each.calls, each.minutes, each.unnoted) for each in figures.calls),
        ),
        _table("Ages", "Age|Items", ((each.ages, each.items) for each in figures.ages)),
        _table("Cost by year", "Year|Currency|Pieces to replace|Cost", _costs(figures)),
        _table(
            "Equipment",
            "Site|Place|Rack|Tag|Model|Kind|Installed|Age, years|Warranty until|Support until|Useful life, years|"
            "Where the life is from|Expected until|Years left|Price today|Currency",
            _equipment(figures),
        ),
        _table(
            "Loudspeakers", "Site|Zone|Model|Pieces|Useful life, years|Price of one|Currency", _loudspeakers(figures)
        ),
        _table("Changes", "Since the last report", ((each,) for each in figures.changes)),
        _table("Useful lives", "Equipment|Pieces|Useful life, years|Where the figure is from", _lives(figures)),
        _table("Assumptions", "What is assumed", ((each,) for each in words.assumptions(figures))),
    ]


def _table(title: str, headings: str, rows: Iterable[tuple[Any, ...]]) -> Table:
    return Table(title, tuple(TableColumn(heading) for heading in headings.split("|")), rows)


def _summary(figures: OwnersFigures) -> Iterator[tuple[Any, ...]]:
    yield "Answer", words.answer(figures)
    yield "Client", figures.client
    yield "About", figures.about
    yield "As of", figures.today
    yield "Visits and calls since", figures.since
    yield "Inflation, % a year", figures.inflation
    yield "Items in use", len(figures.equipment)
    yield "Items without a date of installation", figures.without_date
    yield "Items past their expected life", len(figures.past_life)
    yield "Items whose expected life is not known", figures.without_end
    yield "Items without an end of warranty", figures.without_warranty
    yield "Items whose warranty ends within 90 days", len(figures.warranties)
    yield "Spare items, not counted", figures.spares
    yield "Loudspeakers", figures.loudspeaker_count
    yield "Pieces without a price", figures.without_price
    yield from _money(figures)
    yield "Visits done", figures.visits.done
    yield "Visits done with exceptions", figures.visits.with_exceptions
    yield "Visits not possible", figures.visits.not_possible
    for plan, site, on in figures.visits.overdue:
        yield f"Overdue since: {plan}, {site}", on
    for plan, site, on in figures.visits.under_way:
        yield f"Under way since: {plan}, {site}", on
    for plan, site, on in figures.visits.following:
        yield f"Next: {plan}, {site}", on
    yield "Service calls not closed yet", figures.open_calls
    for each in figures.lines:
        yield f"Line not safe or not in order: {each.line}, {each.site}", each.says
    yield "Compared with the report of", figures.compared_with


def _money(figures: OwnersFigures) -> Iterator[tuple[Any, ...]]:
    for plan in figures.money:
        yield f"Plan a year, {plan.currency}", plan.provision
        yield f"Total of the years, {plan.currency}", plan.total
        yield f"Pieces in no year, {plan.currency}", plan.undated
        yield f"Cost of pieces in no year, {plan.currency}", plan.undated_cost
        yield f"Pieces not in the yearly sum, {plan.currency}", plan.without_life


def _findings(figures: OwnersFigures) -> Iterator[tuple[Any, ...]]:
    for each in figures.findings:
        yield each.severity, each.says, each.about, each.site, each.follow_up, each.found_on


def _costs(figures: OwnersFigures) -> Iterator[tuple[Any, ...]]:
    for plan in figures.money:
        for each in plan.years:
            yield each.year, plan.currency, each.pieces, each.cost


def _equipment(figures: OwnersFigures) -> Iterator[tuple[Any, ...]]:
    today = figures.today
    for each in figures.equipment:
        life = each.life.years if each.life else None
        yield (
            each.site, each.place, each.rack, each.tag, each.what, each.kind, each.installed_on, each.age(today),
            each.warranty_until, each.support_until, life, words.life_source(each.life), each.expected_end,
            each.left(today), each.price, each.currency,
        )  # fmt: skip


def _loudspeakers(figures: OwnersFigures) -> Iterator[tuple[Any, ...]]:
    for each in figures.loudspeakers:
        life = each.life.years if each.life else None
        yield each.site, each.place, each.what, each.count, life, each.price, each.currency


def _lives(figures: OwnersFigures) -> Iterator[tuple[Any, ...]]:
    for each in figures.lives:
        yield each.what, each.pieces, each.life.years if each.life else None, words.life_source(each.life)
