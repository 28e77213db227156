"""The owner's report of a client, or of one of its sites: everything fetched, nothing formatted."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Final

from registry.reports.owners_equipment import equipment_of, loudspeakers_of, spares_of
from registry.reports.owners_facts import calls_of, findings_of, visits_of, zones_of
from registry.reports.owners_figures import OwnersFigures
from registry.reports.owners_lines import lines_of
from registry.reports.owners_money import ages_of, lives_of, money_plans
from registry.reports.owners_rows import OwnersRows
from registry.reports.owners_state import changes, snapshot_of
from registry.visits.queries import last_owners_report
from sites.models import Client, Site

A_YEAR: Final = timedelta(days=365)
WARRANTY: Final = timedelta(days=90)


@dataclass(frozen=True, slots=True)
class Scope:
    """What a report is about: a client with those of its sites that the reader may see, or one site."""

    client: Client
    sites: Sequence[Site]
    site: Site | None = None

    @property
    def name(self) -> str:
        """The name of what it is about."""
        return self.site.name if self.site else self.client.name


def owners_figures(scope: Scope, *, today: date, inflation: Decimal = Decimal(0)) -> OwnersFigures:
    """Return the report as of a day, prices raised by `inflation` percent a year. A constant number of queries."""
    rows, since, last = OwnersRows(scope.sites), today - A_YEAR, last_owners_report(scope.client, scope.site)
    items, speakers = equipment_of(rows), loudspeakers_of(rows)
    things = [*items, *speakers]
    calls, open_calls = calls_of(rows, since)
    return OwnersFigures(
        client=scope.client.name,
        about=scope.name,
        sites=tuple(site.name for site in scope.sites),
        today=today,
        since=since,
        inflation=inflation,
        equipment=tuple(items),
        loudspeakers=tuple(speakers),
        spares=spares_of(rows),
        ages=ages_of(items, today),
        money=money_plans(things, today, inflation),
        without_price=sum(each.count for each in things if each.price is None),
        lives=lives_of(things),
        warranties=tuple(
            each for each in items if each.warranty_until and today <= each.warranty_until <= today + WARRANTY
        ),
        visits=visits_of(scope.client, rows, since, today),
        calls=tuple(calls),
        open_calls=open_calls,
        findings=tuple(findings_of(rows)),
        lines=tuple(lines_of(rows)),
        zones=tuple(zones_of(rows)),
        compared_with=last.made_at.astimezone(scope.sites[0].zone_info).date() if last and scope.sites else None,
        changes=changes(last.content, snapshot_of(rows)) if last else (),
    )


def state_of(scope: Scope) -> dict[str, Any]:
    """Return the snapshot that the next report is compared with. A constant number of queries."""
    return snapshot_of(OwnersRows(scope.sites))
