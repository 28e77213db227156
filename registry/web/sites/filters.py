"""Filters and columns of the lists of clients and sites."""

from datetime import date, datetime
from typing import Any

import django_filters
from django.db.models import Count, Exists, F, FloatField, Max, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Abs, Coalesce
from django.http import HttpRequest
from django.utils import timezone

from registry.audio.models import Drift, Verdict
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.queries import (
    baselines_visible_to,
    readings_visible_to,
    restores_visible_to,
    with_baseline,
    without_baseline,
)
from registry.web.addresses import row_page
from registry.web.fields import RowFilter
from registry.web.lists import Column, ListFilter
from registry.web.sites.sentences import number_of
from sites.models import Client, Site, User
from sites.queries import clients_visible_to, sites_visible_to

YES_NO = (("yes", "Yes"), ("no", "No"))


def counted(rows: QuerySet[Any], site: str) -> Coalesce:
    """Return how many of `rows` belong to the site (or client) of the outer query, as an annotation."""
    per_site = rows.filter(**{site: OuterRef("pk")}).order_by().values(site).annotate(number=Count("*"))
    return Coalesce(Subquery(per_site.values("number")), 0)


def listed_clients(user: User) -> QuerySet[Client]:
    """Return the clients that `user` may read, with what their sites have and lack."""
    return clients_visible_to(user).annotate(
        site_count=counted(sites_visible_to(user), "client"),
        zones_out=counted(zones_visible_to(user).filter(drift=Drift.OUT), "site__client"),
        unsafe_lines=counted(lines_visible_to(user).filter(verdict=Verdict.FAIL), "site__client"),
    )


def listed_sites(user: User) -> QuerySet[Any]:
    """Return the sites that `user` may read, with what they have and lack."""
    zones = zones_visible_to(user)
    newest = baselines_visible_to(user).filter(site=OuterRef("pk")).order_by("-number")
    readings = readings_visible_to(user).filter(zone__site=OuterRef("pk"), correction__isnull=True)
    return sites_visible_to(user).annotate(
        zone_count=counted(zones, "site"),
        zones_out=counted(zones.filter(drift=Drift.OUT), "site"),
        zones_undecided=counted(zones.filter(drift=Drift.UNDECIDED), "site"),
        zones_unmeasured=counted(zones.filter(drift=Drift.NOT_MEASURED), "site"),
        drift_size_db=_largest(zones),
        drift_db=Subquery(_by_size(zones).values("drift_db")[:1]),
        last_reading=Subquery(readings.order_by("-taken_at").values("taken_at")[:1]),
        unsafe_lines=counted(lines_visible_to(user).filter(verdict=Verdict.FAIL), "site"),
        baseline_number=Subquery(newest.values("number")[:1]),
        baseline_at=Subquery(newest.values("frozen_at")[:1]),
        has_restore=Exists(restores_visible_to(user).filter(site=OuterRef("pk"), signed_at__isnull=True)),
    )


def _by_size(zones: QuerySet[Any]) -> QuerySet[Any]:
    return zones.filter(site=OuterRef("pk"), drift_db__isnull=False).order_by(Abs("drift_db").desc(), "pk")


def _largest(zones: QuerySet[Any]) -> Coalesce:
    """Return the size of the largest drift at a site; 0 where none is known, so that every database sorts it alike."""
    sized = zones.filter(site=OuterRef("pk")).order_by().values("site").annotate(size=Max(Abs(F("drift_db"))))
    return Coalesce(Subquery(sized.values("size")), Value(0.0), output_field=FloatField())


def order_sentence(user: User, rows: QuerySet[Any], noun: str, *, is_all: bool) -> str:
    """Return how many clients or sites there are, and what is wrong at them. Three queries."""
    at = Q() if is_all else Q(("site__client__in" if noun == "client" else "site__in", rows.order_by().values("pk")))
    out = zones_visible_to(user).filter(at, drift=Drift.OUT).count()
    unsafe = lines_visible_to(user).filter(at, verdict=Verdict.FAIL).count()
    wrong = [(out, "zone", " out of tolerance"), (unsafe, "unsafe load", "")]
    said = [f"{number_of(count, one)}{words}" for count, one, words in wrong if count]
    return f"{number_of(rows.count(), noun)}{': ' if said else ''}{', '.join(said)}."


def clients_for(request: HttpRequest | None) -> QuerySet[Client]:
    """Return the clients that a filter may offer."""
    assert request is not None
    return clients_visible_to(request.user)


def sites_for(request: HttpRequest | None) -> QuerySet[Site]:
    """Return the sites that a filter may offer."""
    assert request is not None
    return sites_visible_to(request.user)


class ClientFilter(ListFilter):
    """By a part of the name."""

    name = django_filters.CharFilter(lookup_expr="icontains", label="Name contains")


class SiteFilter(ListFilter):
    """By client, name, and what is missing or open."""

    name = django_filters.CharFilter(method="by_name", label="Name or code contains")
    client = RowFilter(queryset=clients_for, label="Client", empty_label="Any")
    baseline = django_filters.ChoiceFilter(
        choices=YES_NO, method="by_baseline", label="Has a baseline", empty_label="Any"
    )
    restore = django_filters.ChoiceFilter(choices=YES_NO, method="by_restore", label="Restore open", empty_label="Any")
    drift = django_filters.ChoiceFilter(
        choices=(("yes", "Out or undecided"), ("out", "Out of tolerance"), ("unmeasured", "Not measured")),
        method="by_drift",
        label="Zones",
        empty_label="Any",
    )

    def by_drift(self, queryset: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Match sites with a zone that stands so."""
        wanted = {"yes": [Drift.OUT, Drift.UNDECIDED], "out": [Drift.OUT], "unmeasured": [Drift.NOT_MEASURED]}
        zones = zones_visible_to(self.request.user).filter(drift__in=wanted[value])
        return queryset.filter(pk__in=zones.values("site"))

    def by_name(self, queryset: QuerySet[Site], name: str, value: str) -> QuerySet[Site]:
        """Match the name or the code."""
        return queryset.filter(Q(name__icontains=value) | Q(code__icontains=value))

    def by_baseline(self, queryset: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Match sites with or without a baseline."""
        return without_baseline(queryset) if value == "no" else with_baseline(queryset)

    def by_restore(self, queryset: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Match sites that somebody is restoring, or all the others."""
        return queryset.filter(has_restore=value == "yes")


def client_page(client: Client) -> str:
    """Return the address of a client's page."""
    return row_page("client", client.pk)


def site_page(row: Any) -> str:
    """Return the address of a site's page."""
    return row_page("site", row.code)


CLIENT_COLUMNS = (
    Column(heading="Client", value=lambda client: client.name, sort=("name",), link=client_page),
    Column(heading="Sites", value=lambda client: client.site_count, sort=("site_count",), kind="number"),
    Column(heading="Zones out of tolerance", value=lambda client: client.zones_out, sort=("zones_out",), kind="number"),
    Column(heading="Unsafe loads", value=lambda client: client.unsafe_lines, sort=("unsafe_lines",), kind="number"),
    Column(heading="Contact", value=lambda client: client.contact),
    Column(heading="Phone", value=lambda client: client.phone),
)


def drift_page(row: Any) -> str:
    """Return the address of the page of a site's drift; empty where nothing drifts."""
    return row_page("site-drift", row.code) if row.zones_out or row.zones_undecided else ""


def last_reading_day(row: Any) -> date | None:
    """Return the day of a site's newest reading by the site's calendar."""
    taken_at: datetime | None = row.last_reading
    return taken_at.astimezone(row.zone_info).date() if taken_at else None


def baseline_age(row: Any) -> int | None:
    """Return how many days ago a site's newest baseline was frozen."""
    return (timezone.now() - row.baseline_at).days if row.baseline_at else None


# Sorted downwards this column ranks sites by drift: zones out, then undecided, then the largest drift.
ZONES_OUT = Column(
    heading="Zones out of tolerance",
    value=lambda site: site.zones_out,
    sort=("zones_out", "zones_undecided", "drift_size_db"),
    kind="number",
    link=drift_page,
)

SITE_COLUMNS_OF_CLIENT = (
    Column(heading="Site", value=lambda site: site.name, sort=("name",), link=site_page),
    Column(heading="Code", value=lambda site: site.code, sort=("code",)),
    Column(heading="Zones", value=lambda site: site.zone_count, sort=("zone_count",), kind="number"),
    ZONES_OUT,
    Column(heading="Unsafe loads", value=lambda site: site.unsafe_lines, sort=("unsafe_lines",), kind="number"),
    Column(
        heading="Baseline",
        value=lambda site: site.baseline_number,
        sort=("baseline_number",),
        kind="number",
        blank="none yet",
    ),
)

DRIFT_COLUMNS = (
    Column(heading="Undecided", value=lambda site: site.zones_undecided, sort=("zones_undecided",), kind="number"),
    Column(heading="Not measured", value=lambda site: site.zones_unmeasured, sort=("zones_unmeasured",), kind="number"),
    Column(
        heading="Largest drift",
        value=lambda site: site.drift_db,
        unit="dB",
        sort=("drift_size_db",),
        blank="none known",
    ),
    Column(heading="Last reading", value=last_reading_day, kind="day", sort=("last_reading",), blank="none yet"),
)

SITE_COLUMNS = (
    *SITE_COLUMNS_OF_CLIENT[:2],
    Column(heading="Client", value=lambda site: site.client.name, sort=("client__name", "name")),
    *SITE_COLUMNS_OF_CLIENT[2:4],
    *DRIFT_COLUMNS,
    *SITE_COLUMNS_OF_CLIENT[4:],
    Column(heading="Baseline age in days", value=baseline_age, sort=("-baseline_at",), kind="number", blank="none yet"),
)
