"""The owner's report of a client, or of one of its sites: everything fetched, nothing formatted."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, Final

from registry.equipment.models import Place
from registry.reports.owners_equipment import equipment_of, loudspeakers_of, spares_of
from registry.reports.owners_facts import calls_of, findings_of, open_calls_of, visits_of, zones_of
from registry.reports.owners_figures import OwnersFigures
from registry.reports.owners_lines import lines_of
from registry.reports.owners_money import ages_of, lives_of, money_plans
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
    sites, since = scope.sites, today - A_YEAR
    items, speakers = equipment_of(sites), loudspeakers_of(sites)
    things = [*items, *speakers]
    last = last_owners_report(scope.client, scope.site)
    return OwnersFigures(
        client=scope.client.name,
        about=scope.name,
        sites=tuple(site.name for site in sites),
        today=today,
        since=since,
        inflation=inflation,
        equipment=tuple(items),
        loudspeakers=tuple(speakers),
        spares=spares_of(sites),
        ages=ages_of(items, today),
        money=money_plans(things, today, inflation),
        without_price=sum(each.count for each in things if each.price is None),
        lives=lives_of(things),
        warranties=tuple(
            each for each in items if each.warranty_until and today <= each.warranty_until <= today + WARRANTY
        ),
        visits=visits_of(scope.client, sites, since, today),
        calls=tuple(calls_of(sites, since)),
        open_calls=open_calls_of(sites),
        findings=tuple(findings_of(sites)),
        lines=tuple(lines_of(sites)),
        zones=tuple(zones_of(sites)),
        compared_with=last.made_at.astimezone(sites[0].zone_info).date() if last and sites else None,
        changes=changes(last.content, state_of(scope)) if last else (),
    )


def state_of(scope: Scope) -> dict[str, Any]:
    """Return the snapshot that the next report is compared with. A constant number of queries."""
    at = [site.pk for site in scope.sites]
    hosts = Place.objects.filter(site__in=at).exclude(hostname="").values_list("hostname", flat=True)
    return snapshot_of(scope.sites, list(hosts))
