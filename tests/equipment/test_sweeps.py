"""Sweeps against the register: matched by MAC address, kept as seen, no recorded address changed by them."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils import timezone

from registry.demo.factories import (
    ItemFactory,
    PlaceFactory,
    PlacementFactory,
    SettingFactory,
    SiteFactory,
    UserFactory,
)
from registry.equipment.address_checks import addresses_twice
from registry.equipment.models import HostObservation, Item, NetworkSweep, Place, Status
from registry.equipment.site_network import network_of
from registry.equipment.sweep_queries import last_seen, sweep_against_register
from registry.equipment.sweeps import SeenHost, record_seen_address, record_sweep
from sites.facts import FactIsFixedError
from sites.models import Role, Site, User

pytestmark = pytest.mark.django_db
NOW = timezone.now().replace(microsecond=0)


def mac(number: int) -> str:
    return f"00:00:5e:00:53:{number:02x}"  # for documentation, RFC 7042


def seen(number: int, ip: int, *, ago: int = 0) -> SeenHost:
    return SeenHost(f"192.0.2.{ip}", mac(number) if number else "", "", NOW - timedelta(hours=ago))


def item(site: Site, number: int, ip: int | None, *, status: str = Status.IN_SERVICE) -> Item:
    made = ItemFactory(site=site, tag=f"T-{number}", mac=mac(number), status=status)
    if ip is not None:
        place = PlaceFactory(site=site, name=f"Place {number}", ip=f"192.0.2.{ip}")
        PlacementFactory(place=place, item=made)
    return made


@pytest.fixture
def site() -> Site:
    return SiteFactory()


@pytest.fixture
def tech() -> User:
    return UserFactory(role=Role.TECH)


def test_every_host_and_every_item_finds_its_group(site: Site) -> None:
    for number, ip in ((1, 11), (2, 12), (3, 13), (4, 14)):
        item(site, number, ip)
    item(site, 5, None)
    item(site, 6, 16, status=Status.SPARE)
    item(SiteFactory(), 9, 19)
    hosts = [seen(1, 11), seen(2, 22), seen(4, 14), seen(4, 44), seen(5, 15), seen(9, 19), seen(8, 11), seen(0, 77)]
    match = sweep_against_register(network_of(site), hosts)
    assert [each.item.tag for each in match.as_recorded] == ["T-1", "T-4"]
    assert [(each.item.tag, each.recorded, each.host.ip) for each in match.elsewhere] == [
        ("T-2", "192.0.2.12", "192.0.2.22"),
        ("T-5", None, "192.0.2.15"),
    ]
    assert {host.mac for host in match.unknown} == {mac(8), mac(9)}
    assert [each.item.tag for each in match.missing] == ["T-3"]
    assert [host.ip for host in match.without_mac] == ["192.0.2.77"]
    assert {ip: [host.mac for host in twice] for ip, twice in match.same_ip.items()} == {"192.0.2.11": [mac(1), mac(8)]}
    assert match.host_count == len(hosts)


def test_a_reservation_is_read_from_the_settings(site: Site) -> None:
    found = item(site, 1, 11)
    place = found.placements.get().place
    SettingFactory(record__place=place, key="address mode", value="reservation")
    item(site, 2, 12)
    match = sweep_against_register(network_of(site), [seen(1, 21), seen(2, 22)])
    assert [each.reserved for each in match.elsewhere] == [True, False]


def test_the_same_file_twice_records_nothing_and_facts_stay(site: Site, tech: User) -> None:
    item(site, 1, 11)
    words = {"by": tech, "site": site, "source": "hosts.csv", "sha256": "a" * 64}
    first = record_sweep(hosts=[seen(1, 21), seen(2, 22)], **words)
    again = record_sweep(hosts=[seen(1, 21), seen(2, 22)], **words)
    assert (first.again, again.again, first.sweep) == (False, True, again.sweep)
    assert HostObservation.objects.count() == 2
    assert Place.objects.get().ip == "192.0.2.11"
    sweep = NetworkSweep.objects.get()
    assert (sweep.swept_at, sweep.recorded_by, sweep.source) == (NOW, tech, "hosts.csv")
    with pytest.raises(FactIsFixedError):
        HostObservation.objects.all().delete()
    with pytest.raises(FactIsFixedError):
        sweep.save()


@pytest.mark.parametrize(("hosts", "says"), [([], "no host was seen"), ([seen(1, 1, ago=-1)], "in the future")])
def test_an_empty_sweep_and_one_of_the_future_are_refused(site: Site, hosts: list[SeenHost], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        record_sweep(by=None, site=site, source="x", sha256="b" * 64, hosts=hosts)
    assert not NetworkSweep.objects.exists()


def test_the_address_last_seen_is_recorded_by_an_act_of_its_own(site: Site, tech: User) -> None:
    found = item(site, 1, 11)
    record_sweep(by=tech, site=site, source="old", sha256="1" * 64, hosts=[seen(1, 31, ago=9)])
    record_sweep(by=tech, site=site, source="new", sha256="2" * 64, hosts=[seen(1, 21, ago=1)])
    # Somebody imports an older file later: what was seen last is what was seen last.
    record_sweep(by=tech, site=site, source="late", sha256="3" * 64, hosts=[seen(1, 41, ago=20)])
    record_sweep(by=tech, site=SiteFactory(), source="other", sha256="4" * 64, hosts=[seen(1, 51)])
    assert last_seen([found])[found.pk].ip == "192.0.2.21"
    with pytest.raises(ValueError, match=r"was not last seen at 192\.0\.2\.31"):
        record_seen_address(by=tech, item=found, ip="192.0.2.31")
    place = record_seen_address(by=tech, item=found, ip="192.0.2.21")
    assert (place.ip, place.name) == ("192.0.2.21", "Place 1")
    assert [row.ip for row in place.history.order_by("pk")][-1] == "192.0.2.21"
    assert place.history.latest().history_user == tech


def test_an_item_in_no_place_has_no_address_to_record(site: Site, tech: User) -> None:
    found = item(site, 1, None)
    with pytest.raises(ValueError, match="in no place"):
        record_seen_address(by=tech, item=found, ip="192.0.2.21")


def test_the_same_address_on_two_rows_is_told(site: Site) -> None:
    item(site, 1, 11)
    twin = item(site, 2, 11)
    Item.objects.filter(pk=twin.pk).update(mac=mac(1))
    ItemFactory(site=site, tag="T-9", mac=mac(1), status=Status.REMOVED)
    says = [
        f"MAC address {mac(1)} is recorded for T-1 and T-2: one of them is wrong.",
        "IP address 192.0.2.11 is recorded for Place 1 and Place 2: one of them is wrong.",
    ]
    assert [each.says for each in addresses_twice(network_of(site))] == says
    out = StringIO()
    call_command("check_site", site.code, stdout=out)
    assert out.getvalue().splitlines() == [f"addresses: warn. {each}" for each in says]
    assert addresses_twice(network_of(SiteFactory())) == []
