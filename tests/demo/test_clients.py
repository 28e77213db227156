"""The further clients: a mix of sites, as of today, the same each time, and all of it invented."""

import re
from datetime import timedelta
from ipaddress import ip_address, ip_network

import pytest
from django.db import transaction

from registry.audio.models import Drift, Line, Verdict, Zone
from registry.baselines.models import Baseline, Reading
from registry.demo import building, words
from registry.demo.clients import PREMISES, Story
from registry.demo.factories import UserFactory
from registry.demo.garden_centre import load_garden_centre
from registry.equipment.models import Item, Make, MakeModel, Place
from registry.exchange.exporting import export_survey
from sites.models import Client, Site, User
from tests.demo.conftest import TODAY

DOCUMENTATION = ip_network("192.0.2.0/24")  # RFC 5737


def sites_of(story: Story) -> set[str]:
    return {premises.code for premises in PREMISES if premises.story == story}


def test_a_dozen_clients_some_with_several_sites(other_sites: list[Site]) -> None:
    assert len({site.client_id for site in other_sites}) == 12
    assert len(other_sites) == len(PREMISES) > 12
    assert Client.objects.count() == 13


def test_every_story_is_told(other_sites: list[Site]) -> None:
    assert all(sites_of(story) for story in Story)
    failing = Line.objects.filter(site__in=other_sites, verdict=Verdict.FAIL)
    assert {line.site.code for line in failing.select_related("site")} == sites_of(Story.OVERLOADED)
    out = Zone.objects.filter(site__in=other_sites, drift=Drift.OUT).select_related("site")
    assert sorted(zone.site.code for zone in out) == sorted(sites_of(Story.DRIFTED))
    unread = Zone.objects.filter(site__in=other_sites, drift=Drift.NOT_MEASURED).select_related("site")
    assert {zone.site.code for zone in unread} == sites_of(Story.NOT_MEASURED)
    without = Zone.objects.filter(site__in=other_sites, drift=Drift.NO_BASELINE).select_related("site")
    assert {zone.site.code for zone in without} == sites_of(Story.NO_BASELINE)


def test_a_site_in_order_has_a_baseline_that_lacks_nothing_and_every_zone_within(other_sites: list[Site]) -> None:
    for site in other_sites:
        if site.code in sites_of(Story.IN_ORDER):
            assert Baseline.objects.get(site=site).exceptions == []
            assert set(Zone.objects.filter(site=site).values_list("drift", flat=True)) == {Drift.WITHIN}


def test_no_load_is_unknown(other_sites: list[Site]) -> None:
    assert not Line.objects.filter(site__in=other_sites, verdict=Verdict.UNKNOWN).exists()


def test_everything_is_dated_before_today_and_some_warranties_end_soon(other_sites: list[Site]) -> None:
    assert all(reading.taken_at.date() < TODAY for reading in Reading.objects.filter(zone__site__in=other_sites))
    assert all(frozen.frozen_at.date() < TODAY for frozen in Baseline.objects.filter(site__in=other_sites))
    soon = (TODAY, TODAY + timedelta(days=90))
    ending = Item.objects.filter(site__in=other_sites, warranty_until__range=soon)
    assert 2 <= len(set(ending.values_list("site", flat=True))) < len(other_sites)


def test_one_site_has_a_line_that_serves_life_safety(other_sites: list[Site]) -> None:
    (line,) = Line.objects.filter(site__in=other_sites).exclude(life_safety="no")
    assert (line.site.code, line.may_change) == ("ostlow-court", False)


def test_racks_hold_what_is_mounted_in_them(other_sites: list[Site]) -> None:
    for place in Place.objects.filter(site__in=other_sites).prefetch_related("occupied_units"):
        assert place.position_u in {unit.unit for unit in place.occupied_units.all()}


def test_makers_are_letters(other_sites: list[Site]) -> None:
    assert all(re.fullmatch("Make [A-Z]", make.name) for make in Make.objects.all())
    assert all(re.fullmatch(r"[A-Z0-9-]+", model.name) for model in MakeModel.objects.all())


def test_contacts_are_roles_with_numbers_nobody_has(other_sites: list[Site]) -> None:
    for client in Client.objects.all():
        assert client.contact in words.ROLES
        assert re.fullmatch(r"555-01\d\d", client.phone)
        assert client.email.endswith("@example.com")
    assert not User.objects.exclude(first_name="", last_name="").exists()


def test_network_addresses_are_reserved_or_locally_administered(other_sites: list[Site]) -> None:
    for ip in Place.objects.exclude(ip=None).values_list("ip", flat=True):
        assert ip_address(ip) in DOCUMENTATION
    macs = list(Item.objects.exclude(mac="").values_list("mac", flat=True))
    assert len(macs) == len(set(macs)) > 20
    # IEEE 802: the second-lowest bit of the first octet marks a locally administered address, the lowest a group.
    assert all(int(mac[:2], 16) & 0b11 == 0b10 for mac in macs)


@pytest.mark.django_db
def test_the_dice_fall_the_same_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(building, "PREMISES", PREMISES[:1])
    load_garden_centre(by=UserFactory(), today=TODAY)
    exports = []
    for username in ("first", "second"):
        with transaction.atomic():
            (site,) = building.build_clients(by=UserFactory(username=username), today=TODAY)
            exports.append(export_survey(site))
            transaction.set_rollback(True)
    assert exports[0] == exports[1]
    assert b"quillmarsh,Lobby" in exports[0]["levels.csv"]
