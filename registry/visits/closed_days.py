"""Writes of holidays, and of the hours in which a site can be worked at."""

from collections.abc import Mapping
from datetime import date, time

from django.db import IntegrityError, transaction

from registry.visits.models import Holiday, SiteHours
from sites.models import Site, User
from sites.put import refuse

Hours = Mapping[int, tuple[time, time]]


def add_holiday(*, by: User, site: Site | None, day: date, name: str) -> Holiday:
    """Note a day without visits, everywhere or at one site."""
    key = (site.pk if site else None, day)
    if not name.strip():
        raise refuse("holiday", key, "name", "name the day, or say why it is closed")
    holiday = Holiday(site=site, date=day, name=name.strip())
    holiday._history_user = by  # type: ignore[attr-defined]
    try:
        with transaction.atomic():
            holiday.save()
    except IntegrityError as error:
        raise refuse("holiday", key, "day", "this day is noted already") from error
    return holiday


def remove_holiday(*, by: User, holiday: Holiday) -> None:
    """Take a holiday away; its history stays."""
    holiday._history_user = by  # type: ignore[attr-defined]
    holiday.delete()


@transaction.atomic
def save_hours(*, by: User, site: Site, hours: Hours) -> None:
    """Write when a site can be worked at, by weekday: one not given is closed, none at all is any time."""
    known = {row.weekday: row for row in SiteHours.objects.select_for_update().filter(site=site)}
    for weekday, (opens, closes) in hours.items():
        if closes <= opens:
            raise refuse(
                "site hours", (site.pk, weekday), f"closes_{weekday}", "closes after it opens, on the same day"
            )
        row = known.pop(weekday, None) or SiteHours(site=site, weekday=weekday)
        if (row.opens, row.closes) != (opens, closes) or row.pk is None:
            row.opens, row.closes = opens, closes
            row._history_user = by  # type: ignore[attr-defined]
            row.save()
    for row in known.values():
        row._history_user = by  # type: ignore[attr-defined]
        row.delete()
