"""Filters and columns of the lists of clients and sites."""

from typing import Any

import django_filters
from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.http import HttpRequest
from django.urls import reverse

from registry.audio.models import Drift, Verdict
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.queries import baselines_visible_to, restores_visible_to
from registry.web.lists import Column, ListFilter
from registry.web.sites.sentences import number_of
from sites.models import Client, Site, User
from sites.queries import clients_visible_to, sites_visible_to

YES_NO = (("yes", "Yes"), ("no", "No"))


def counted(rows: QuerySet[Any], site: str) -> Coalesce:
    """Return how many of `rows` belong to the site (or client) of the outer query, as an annotation."""
    per_site = rows.filter(**{site: OuterRef("pk")}).order_by().values(site).annotate(number=Count("pk"))
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
    newest = baselines_visible_to(user).filter(site=OuterRef("pk")).order_by("-number").values("number")[:1]
    return sites_visible_to(user).annotate(
        zone_count=counted(zones_visible_to(user), "site"),
        zones_out=counted(zones_visible_to(user).filter(drift=Drift.OUT), "site"),
        unsafe_lines=counted(lines_visible_to(user).filter(verdict=Verdict.FAIL), "site"),
        baseline_number=Subquery(newest),
        has_restore=Exists(restores_visible_to(user).filter(site=OuterRef("pk"), signed_at__isnull=True)),
    )


def order_sentence(rows: QuerySet[Any], noun: str) -> str:
    """Return how many clients or sites there are, and what is wrong at them. One query."""
    sums = rows.aggregate(number=Count("pk"), out=Sum("zones_out"), unsafe=Sum("unsafe_lines"))
    wrong = [(sums["out"], "zone", " out of tolerance"), (sums["unsafe"], "unsafe load", "")]
    said = [f"{number_of(count, one)}{words}" for count, one, words in wrong if count]
    return f"{number_of(sums['number'], noun)}{': ' if said else ''}{', '.join(said)}."


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
    client = django_filters.ModelChoiceFilter(queryset=clients_for, label="Client", empty_label="Any")
    baseline = django_filters.ChoiceFilter(
        choices=YES_NO, method="by_baseline", label="Has a baseline", empty_label="Any"
    )
    restore = django_filters.ChoiceFilter(choices=YES_NO, method="by_restore", label="Restore open", empty_label="Any")

    def by_name(self, queryset: QuerySet[Site], name: str, value: str) -> QuerySet[Site]:
        """Match the name or the code."""
        return queryset.filter(Q(name__icontains=value) | Q(code__icontains=value))

    def by_baseline(self, queryset: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Match sites with or without a baseline."""
        return queryset.filter(baseline_number__isnull=value == "no")

    def by_restore(self, queryset: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Match sites that somebody is restoring, or all the others."""
        return queryset.filter(has_restore=value == "yes")


def client_page(client: Client) -> str:
    """Return the address of a client's page."""
    return reverse("client", args=[client.pk])


def site_page(row: Any) -> str:
    """Return the address of a site's page."""
    return reverse("site", args=[row.code])


CLIENT_COLUMNS = (
    Column(heading="Client", value=lambda client: client.name, sort=("name",), link=client_page),
    Column(heading="Sites", value=lambda client: client.site_count, sort=("site_count",), kind="number"),
    Column(heading="Zones out of tolerance", value=lambda client: client.zones_out, sort=("zones_out",), kind="number"),
    Column(heading="Unsafe loads", value=lambda client: client.unsafe_lines, sort=("unsafe_lines",), kind="number"),
    Column(heading="Contact", value=lambda client: client.contact),
    Column(heading="Phone", value=lambda client: client.phone),
)

SITE_COLUMNS_OF_CLIENT = (
    Column(heading="Site", value=lambda site: site.name, sort=("name",), link=site_page),
    Column(heading="Code", value=lambda site: site.code, sort=("code",)),
    Column(heading="Zones", value=lambda site: site.zone_count, sort=("zone_count",), kind="number"),
    Column(heading="Zones out of tolerance", value=lambda site: site.zones_out, sort=("zones_out",), kind="number"),
    Column(heading="Unsafe loads", value=lambda site: site.unsafe_lines, sort=("unsafe_lines",), kind="number"),
    Column(
        heading="Baseline",
        value=lambda site: site.baseline_number,
        sort=("baseline_number",),
        kind="number",
        blank="none yet",
    ),
)

SITE_COLUMNS = (
    *SITE_COLUMNS_OF_CLIENT[:2],
    Column(heading="Client", value=lambda site: site.client.name, sort=("client__name", "name")),
    *SITE_COLUMNS_OF_CLIENT[2:],
)
