"""What the page of all visits shows, fetched with a constant number of queries."""

from collections import Counter
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from registry.visits.due import Standing, State
from registry.visits.models import Visit
from registry.visits.queries import holidays_visible_to
from registry.visits.standing_now import PlanStanding, dates_of, standings_seen_by
from registry.web.lists import Listing
from registry.web.sites.sentences import number_of
from registry.web.visit_plans.columns import fits
from registry.web.visit_plans.month import Month, events_of, month_of, span
from sites.models import User

URGENT = (State.OVERDUE, State.DUE, State.SOON)
WAITING_SHOWN = 25


def visits_page(user: User, listing: Listing[Visit], first: date, today: date) -> dict[str, Any]:
    """Return the context: the calendar of a month, what waits to be scheduled, and the answer."""
    chosen = listing.filter.form.cleaned_data if listing.filter and listing.filter.is_valid() else {}
    pairs = standings_seen_by(user, today)
    shown = [pair for pair in pairs if fits(pair.standing, {**chosen, "state": ""})]
    waiting = [each for _, each in shown if each.is_unscheduled and each.state in URGENT and fits(each, chosen)]
    with_dates = shown if not chosen.get("state") else []
    waiting.sort(key=lambda each: each.day or date.max)
    return {
        "month": _month(user, listing, with_dates, first, today),
        "waiting": waiting[:WAITING_SHOWN],
        "waiting_more": len(waiting[WAITING_SHOWN:]),
        "sentence": sentence([each for _, each in pairs]),
    }


def _month(user: User, listing: Listing[Visit], plans: Sequence[PlanStanding], first: date, today: date) -> Month:
    begin, end = span(first)
    # A day more on both sides: the site's day and that of UTC differ.
    earliest, latest = (datetime.combine(day, time.min, tzinfo=UTC) for day in (begin, end))
    around = {"starts_at__gte": earliest - timedelta(days=1), "starts_at__lt": latest + timedelta(days=1)}
    visits = listing.queryset.filter(**around).select_related("site__client", "tech")
    holidays = holidays_visible_to(user).filter(date__gte=begin, date__lt=end)
    names = {each.date: f"{each.name}{f' ({each.site})' if each.site else ''}" for each in holidays}
    dates = dates_of(plans, today, begin, end)
    open_dates = [(at, each) for at, _ in plans for each in dates[at.plan.pk, at.site.pk]]
    return month_of(first, events_of(visits, open_dates), names, today)


def sentence(found: Sequence[Standing]) -> str:
    """Return what waits, in one sentence."""
    if not found:
        return "No visit plan is running: make one on the page of a site or of a client."
    counts = Counter(each.state for each in found)
    told = [(counts[State.OVERDUE], "overdue"), (counts[State.DUE], "due within 7 days"), (counts[State.SOON], "soon")]
    said = [f"{count} {words}" for count, words in told if count]
    unscheduled = sum(each.is_unscheduled and each.state in URGENT for each in found)
    if not said:
        return f"Nothing is due within 30 days under {number_of(len(found), 'plan')}."
    nobody = f"{unscheduled} of them not scheduled yet" if unscheduled else "all of them scheduled"
    return f"Planned visits: {', '.join(said)}; {nobody}."
