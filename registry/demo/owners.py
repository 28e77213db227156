"""The owner of the garden centre was given a report two months ago: the next one says what has changed since."""

from datetime import date, datetime, time, timedelta
from typing import Final

from registry.reports.owners_report import Scope, state_of
from registry.visits.owners_reports import record_owners_report
from sites.models import Site, User

AGO: Final = timedelta(days=60)


def give_report(site: Site, *, by: User, today: date) -> None:
    """Record a report of the client and one of the site, as things stand now."""
    at = datetime.combine(today - AGO, time(10, 0), tzinfo=site.zone_info)
    for scope in (Scope(site.client, [site]), Scope(site.client, [site], site)):
        record_owners_report(by=by, client=site.client, site=scope.site, content=state_of(scope), at=at)
