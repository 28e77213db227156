"""Counts of several tables in one query."""

from pytest_django import DjangoAssertNumQueries

from registry.audio.models import Zone
from registry.demo.factories import SiteFactory, ZoneFactory
from sites.counts import counts_of
from sites.models import Client, Site, Space


def test_every_name_has_its_number(django_assert_num_queries: DjangoAssertNumQueries, db: None) -> None:
    first, _ = ZoneFactory(site=SiteFactory()), ZoneFactory(site=SiteFactory())
    with django_assert_num_queries(1):
        found = counts_of(
            spaces=Space.objects.filter(name="nowhere"),
            clients=Client.objects.none(),
            zones=Zone.objects.filter(site__in=Site.objects.none()),
            sites=Site.objects.select_related("client").order_by("name"),
            first=Zone.objects.filter(pk=first.pk),
        )
    assert found == {"spaces": 0, "clients": 0, "zones": 0, "sites": 2, "first": 1}


def test_of_nothing_it_is_nought(django_assert_num_queries: DjangoAssertNumQueries, db: None) -> None:
    with django_assert_num_queries(0):
        assert counts_of(sites=Site.objects.none(), clients=Client.objects.none()) == {"sites": 0, "clients": 0}
