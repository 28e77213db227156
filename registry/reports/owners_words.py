"""The sentences and cells of an owner's report: every figure is put into words in one place."""

from datetime import date
from decimal import Decimal
from typing import Final

from registry.engineering.useful_life import UsefulLife
from registry.reports.owners_facts import AS_AGREED, NOT_MEASURED, SEVERITIES, ZONE_ORDER
from registry.reports.owners_figures import Equipment, MoneyPlan, OwnersFigures
from registry.reports.owners_money import YEARS
from registry.reports.wording import day
from registry.visits.models import Severity

UNKNOWN: Final = "not known"
NO_CURRENCY: Final = "(currency not recorded)"


def answer(figures: OwnersFigures) -> str:
    """Return the report in a few sentences, what is not known beside what is known."""
    said = [_hazards(figures), *_lines(figures), _open(figures)]
    said.append(f"{_zones(figures)}; {_past(figures)}; {_provision(figures)}.")
    if late := len(figures.visits.overdue):
        said.append(f"{_number(late, 'planned visit')} {'is' if late == 1 else 'are'} overdue.")
    return " ".join(each for each in said if each)


def _hazards(figures: OwnersFigures) -> str:
    count = sum(each.is_hazard for each in figures.findings)
    return f"{_number(count, 'open finding')} can hurt someone." if count else ""


def _lines(figures: OwnersFigures) -> list[str]:
    unsafe = sum(each.is_unsafe for each in figures.lines)
    broken = len(figures.lines) - unsafe
    return [
        f"{_number(unsafe, 'line')} {'is' if unsafe == 1 else 'are'} not safe to drive." if unsafe else "",
        f"{_number(broken, 'line')} {'was' if broken == 1 else 'were'} not in order when last measured."
        if broken
        else "",
    ]


def _open(figures: OwnersFigures) -> str:
    """Return what else waits: hazards are told before."""
    down = sum(each.severity == SEVERITIES[Severity.DOWN] for each in figures.findings)
    calls = figures.open_calls
    said = [
        f"{_number(down, 'open finding')} of something that does not work" if down else "",
        f"{_number(calls, 'service call')} not closed yet" if calls else "",
    ]
    return f"{'; '.join(filter(None, said))}." if any(said) else ""


def _zones(figures: OwnersFigures) -> str:
    if not figures.zones:
        return "No zone is recorded"
    others = [(figures.zones_that_are(state), state) for state in ZONE_ORDER if state != AS_AGREED]
    rest = ", ".join(f"{count} {state}" for count, state in others if count)
    good = figures.zones_that_are(AS_AGREED)
    return f"The level is as agreed in {good} of {_number(len(figures.zones), 'zone')}{f' ({rest})' if rest else ''}"


def _past(figures: OwnersFigures) -> str:
    past, unknown = len(figures.past_life), figures.without_end
    verb = "is past its" if past == 1 else "are past their"
    beside = f" ({unknown} not known)" if unknown else ""
    return f"{past} of {_number(len(figures.equipment), 'item')} {verb} expected life{beside}"


def _provision(figures: OwnersFigures) -> str:
    if not figures.money:
        return "what to plan a year is not known, because no price is recorded"
    told = " and ".join(amount(plan.provision, plan.currency) for plan in figures.money)
    beside = f" ({_number(figures.without_price, 'piece')} without a price)" if figures.without_price else ""
    return f"plan about {told} a year{beside}"


def _number(count: int, noun: str) -> str:
    return f"{count:,} {noun}{'' if count == 1 else 's'}"


def amount(value: int, currency: str) -> str:
    """Return an amount of money: 1,240 GBP."""
    return f"{value:,} {currency or NO_CURRENCY}"


def price(value: Decimal | None, currency: str) -> str:
    """Return the price of one piece to the last cent."""
    return UNKNOWN if value is None else f"{value:,.2f} {currency}".rstrip()


def day_or_unknown(value: date | None) -> str:
    """Return a date as people read it."""
    return UNKNOWN if value is None else day(value)


def age(each: Equipment, today: date) -> str:
    """Return an age in full years."""
    years = each.age(today)
    return UNKNOWN if years is None else str(years)


def left(each: Equipment, today: date) -> str:
    """Return the expected years of use that are left."""
    years = each.left(today)
    return UNKNOWN if years is None else f"{years:.1f}".replace("-", "−")


def past(each: Equipment, figures: OwnersFigures) -> str:
    """Return an item whose expected life has passed, and since when."""
    return f"{_item(each, figures)}: expected until {day_or_unknown(each.expected_end)}."


def warranty(each: Equipment, figures: OwnersFigures) -> str:
    """Return an item whose warranty ends soon, and when."""
    return f"{_item(each, figures)}: warranty until {day_or_unknown(each.warranty_until)}."


def _item(each: Equipment, figures: OwnersFigures) -> str:
    where = [each.place, each.site if len(figures.sites) > 1 else ""]
    return f"{', '.join(filter(None, where)) or 'no place'} ({each.what}, {each.tag})"


def life_years(life: UsefulLife | None) -> str:
    """Return a useful life in years."""
    return UNKNOWN if life is None else f"{life.years:g}"


def life_source(life: UsefulLife | None) -> str:
    """Return where a useful life is from."""
    if life is None:
        return "nothing published or recorded"
    return life.source if life.basis == "recorded" else f"{life.basis}: {life.source}"


def counted_items(figures: OwnersFigures) -> str:
    """Return what there is, and of how much of it no day of installation is known."""
    said = f"{_number(len(figures.equipment), 'item')} in use, {figures.without_date:,} without a date of installation."
    if figures.spares:
        said += f" {_number(figures.spares, 'spare item')} not counted."
    if figures.loudspeakers:
        said += f" {_number(figures.loudspeaker_count, 'loudspeaker')}: their dates of installation are not recorded."
    return said


def money_words(plan: MoneyPlan, figures: OwnersFigures) -> tuple[str, ...]:
    """Return what a money plan says, and what is not in it."""
    said = [
        f"Put aside {amount(plan.provision, plan.currency)} a year: the sum of price ÷ useful life, at today's prices.",
        f"Expected over {YEARS} calendar years: {amount(plan.total, plan.currency)}, {_raised(figures.inflation)}.",
    ]
    if plan.undated:
        cost = amount(plan.undated_cost, plan.currency)
        said.append(f"In no year, because no end can be worked out: {_number(plan.undated, 'piece')}, {cost} today.")
    if plan.without_life:
        said.append(f"Not in the yearly sum, because no useful life is known: {_number(plan.without_life, 'piece')}.")
    return tuple(said)


def _raised(inflation: Decimal) -> str:
    return f"prices raised by {inflation:f} % a year, compounded" if inflation else "at today's prices"


def visit_words(figures: OwnersFigures) -> tuple[str, ...]:
    """Return what was done, what is overdue and what comes next."""
    counts = figures.visits
    exceptions = f", {counts.with_exceptions:,} done with exceptions" if counts.with_exceptions else ""
    not_possible = f", {counts.not_possible:,} not possible" if counts.not_possible else ""
    said = [f"Since {day(figures.since)}: {_number(counts.done, 'visit')} done{exceptions}{not_possible}."]
    said += [f"Overdue since {day(on)}: {plan}, {site}." for plan, site, on in counts.overdue]
    said += [f"Under way since {day(on)}: {plan}, {site}." for plan, site, on in counts.under_way]
    said += [f"Next on {day(on)}: {plan}, {site}." for plan, site, on in counts.following]
    return tuple(said)


def assumptions(figures: OwnersFigures) -> tuple[str, ...]:
    """Return what the report counts with."""
    return (
        "A year of replacement is an expectation for planning, never a promise: the first of the end of the maker's "
        "support and the day of installation plus the useful life. What has passed stands under Now.",
        "What is replaced is replaced again after the same useful life, so short-lived things count more than once.",
        f"Prices are those of the register for one piece, without work and tax; {_raised(figures.inflation)}, "
        f"counted from {figures.today.year}. Each year is rounded to whole units, totals add the rounded years.",
        "A zone's level is as agreed when the last measurement lies within the tolerance, the meter's uncertainty "
        f"included. {NOT_MEASURED.capitalize()}: nobody has measured it since the level was agreed.",
        "An item's age counts from the first day on which it was installed. Items in use are those in service or "
        "faulty; spares and what was taken out are not counted.",
        "The life that a tax office allows for is another figure and is not used.",
    )
