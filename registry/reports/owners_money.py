"""The money in an owner's report: what replacing costs by year, and what to put aside. One currency at a time."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Final

from registry.engineering.replacement import (
    AGE_BANDS,
    OLDEST,
    age_band,
    future_price,
    in_units,
    replacement_years,
    yearly_provision,
)
from registry.engineering.useful_life import UsefulLife
from registry.reports.owners_figures import AgeBand, Equipment, LifeUsed, MoneyPlan, YearCost

YEARS: Final = 10
NOW: Final = "Now"
UNKNOWN_AGE: Final = "not known"


def money_plans(things: Sequence[Equipment], today: date, inflation: Decimal) -> tuple[MoneyPlan, ...]:
    """Return the plan of every currency, the one with most pieces first; what has no price is in none of them."""
    by_currency: dict[str, list[Equipment]] = defaultdict(list)
    for each in things:
        if each.price is not None:
            by_currency[each.currency].append(each)
    in_order = sorted(by_currency.items(), key=lambda pair: (-sum(each.count for each in pair[1]), pair[0]))
    return tuple(_plan(currency, priced, today, inflation) for currency, priced in in_order)


def _plan(currency: str, priced: Sequence[Equipment], today: date, inflation: Decimal) -> MoneyPlan:
    undated = [each for each in priced if each.expected_end is None]
    years = _years(priced, today, inflation)
    return MoneyPlan(
        currency=currency,
        years=years,
        # Of the rounded figures, so that whoever adds them up gets the same.
        total=sum(each.cost for each in years),
        provision=in_units(yearly_provision(each.replaceable for each in priced)),
        undated=sum(each.count for each in undated),
        undated_cost=in_units(_cost(undated)),
        without_life=sum(each.count for each in priced if each.life is None),
    )


def _cost(things: Iterable[Equipment]) -> Decimal:
    return sum((each.replaceable.price or Decimal(0) for each in things), Decimal(0))


def _years(priced: Sequence[Equipment], today: date, inflation: Decimal) -> tuple[YearCost, ...]:
    pieces: Counter[int | None] = Counter()
    costs: dict[int | None, Decimal] = defaultdict(Decimal)
    for each in priced:
        price, end = each.replaceable.price, each.expected_end
        if price is None or end is None:
            continue
        for year in replacement_years(end, each.life.years if each.life else None, today, YEARS):
            pieces[year] += each.count
            costs[year] += price
    ahead = {year: future_price(costs[year], inflation, (year or today.year) - today.year) for year in costs}
    wanted = [None, *range(today.year, today.year + YEARS)]
    return tuple(YearCost(str(year or NOW), pieces[year], in_units(ahead.get(year, Decimal(0)))) for year in wanted)


def ages_of(items: Iterable[Equipment], today: date) -> tuple[AgeBand, ...]:
    """Return how many items are of each age, the unknown ones last."""
    counts = Counter(age_band(each.installed_on, today) for each in items)
    known = [AgeBand(words, counts[words]) for words in (*(words for _, words in AGE_BANDS), OLDEST)]
    return (*known, AgeBand(UNKNOWN_AGE, counts[None]))


def lives_of(things: Iterable[Equipment]) -> tuple[LifeUsed, ...]:
    """Return every useful life that is counted with: by kind where it is the kind's, by model where it is its own."""
    counts: Counter[tuple[str, UsefulLife | None]] = Counter()
    for each in things:
        own = each.life is not None and each.life.basis == "recorded"
        counts[each.what if own else each.kind, each.life] += each.count
    return tuple(LifeUsed(what, pieces, life) for (what, life), pieces in sorted(counts.items(), key=_by_what))


def _by_what(pair: tuple[tuple[str, UsefulLife | None], int]) -> tuple[bool, str, float]:
    (what, life), _ = pair
    return life is None, what, life.years if life else 0.0
