"""A sweep in the browser: read, looked at, accepted; then the address is recorded with one press."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import ItemFactory, MakeModelFactory, PlaceFactory, PlacementFactory
from registry.equipment.models import HostObservation, Item, NetworkSweep
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, queries_of, text_of
from tests.web.test_query_counts import grown

SEEN = "2026-11-12T10:30"
HOSTS = (
    f"ip,mac,hostname,seen at,vendor\n192.0.2.24,0000.5e00.5301,end-1,{SEEN},x\n192.0.2.77,FA-00-5E-00-53-77,,{SEEN},\n"
)


@pytest.fixture
def item(site: Site) -> Item:
    made = ItemFactory(site=site, tag="NH-1", mac="00:00:5e:00:53:01")
    PlacementFactory(place=PlaceFactory(site=site, name="Endpoint 1", ip="192.0.2.14"), item=made)
    return made


def send(browser: Browser, site: Site, text: str, **more: str) -> Any:
    file = SimpleUploadedFile("hosts.csv", text.encode())
    return browser.post(reverse("sweep-import", args=[site.code]), {"file": file, **more})


def test_from_the_file_to_the_register(browser: Browser, site: Site, item: Item) -> None:
    sent = send(browser, site, HOSTS)
    page = browser.get(sent["Location"])
    assert answer_of(page) == (
        "Step 2 of 2. 2 hosts in hosts.csv: 1 item seen at another address, 1 host not in the register."
        " Nothing is recorded yet."
    )
    words = text_of(page)
    assert "Columns left aside: vendor." in words
    assert "Address chosen by software, so no maker" in words
    assert f"{reverse('item-new', args=[site.code])}?mac=fa%3A00%3A5e%3A00%3A53%3A77" in page.content.decode()
    assert not NetworkSweep.objects.exists()

    accepted = browser.post(sent["Location"], follow=True)
    assert "2 hosts are recorded as seen." in text_of(accepted)
    assert "NH-1" in text_of(accepted)
    there = text_of(browser.get(reverse("item", args=[item.pk])))
    assert "Last seen 12 Nov 2026 10:30 at 192.0.2.24; the register says 192.0.2.14 Record 192.0.2.24" in there
    assert "last seen 12 Nov 2026 at 192.0.2.24; the register says 192.0.2.14" in text_of(
        browser.get(reverse("site", args=[site.code]))
    )

    press = reverse("item-seen-address", args=[item.pk])
    assert "was not last seen at 192.0.2.99" in text_of(browser.post(press, {"ip": "192.0.2.99"}, follow=True))
    done = browser.post(press, {"ip": "192.0.2.24", "back": "network"}, follow=True)
    assert answer_of(done).startswith("1 item seen where the register says, 1 host not in the register.")
    assert item.placements.get().place.ip == "192.0.2.24"


def test_the_same_file_again_says_so_and_changes_nothing(browser: Browser, site: Site, item: Item) -> None:
    browser.post(send(browser, site, HOSTS)["Location"])
    again = send(browser, site, HOSTS)["Location"]
    assert "This very file was accepted already" in text_of(browser.get(again))
    assert "nothing changed" in text_of(browser.post(again, follow=True))
    assert HostObservation.objects.count() == 2


def test_faults_are_named_and_what_was_typed_stays(browser: Browser, site: Site) -> None:
    page = send(browser, site, "ip,mac\n192.0.2.1,nonsense\n", at="2026-11-12T10:30")
    assert page.status_code == 422
    assert "2 mac nonsense six pairs of hex digits" in text_of(page)
    assert 'value="2026-11-12T10:30"' in page.content.decode()
    future = send(browser, site, "ip,mac\n192.0.2.1,\n", at="2126-11-12T10:30")
    assert "in the future" in text_of(future)


def test_the_time_typed_goes_along(browser: Browser, site: Site) -> None:
    where = send(browser, site, "ip,mac\n192.0.2.1,\n", at="2026-06-12T10:30")["Location"]
    browser.post(where)
    (sweep,) = NetworkSweep.objects.all()
    assert f"{sweep.swept_at.astimezone(site.zone_info):%Y-%m-%dT%H:%M}" == "2026-06-12T10:30"
    for query in ("", "?at=yesterday"):
        assert browser.get(where.partition("?")[0] + query)["Location"] == reverse("sweep-import", args=[site.code])


def test_a_moved_unit_of_another_site_is_named_to_techs_only(
    browser: Browser, site: Site, owner: User, sign_in: SignIn
) -> None:
    ItemFactory(tag="XX-9", mac="fa:00:5e:00:53:77")
    browser.post(send(browser, site, HOSTS)["Location"])
    page = reverse("site-network", args=[site.code])
    assert "XX-9" in text_of(browser.get(page))
    seen_by_owner = sign_in(owner).get(page)
    assert "XX-9" not in text_of(seen_by_owner)
    assert "Add item" not in text_of(seen_by_owner)


def test_the_links_fill_the_forms(browser: Browser, site: Site) -> None:
    MakeModelFactory()
    assert (
        'value="00:00:5e:00:53:09"'
        in browser.get(reverse("item-new", args=[site.code]) + "?mac=00:00:5e:00:53:09").content.decode()
    )
    page = browser.get(reverse("place-new", args=[site.code]) + "?ip=192.0.2.9&hostname=end-9").content.decode()
    assert 'value="192.0.2.9"' in page
    assert 'value="end-9"' in page


def test_the_pages_cost_the_same_with_more_hosts(browser: Browser, site: Site) -> None:
    def add(number: int) -> None:
        made = ItemFactory(site=site, mac=f"00:00:5e:00:53:{number:02x}")
        PlacementFactory(place=PlaceFactory(site=site, ip=f"192.0.2.{number}"), item=made)
        ItemFactory(site=site, mac=f"00:00:5e:00:53:a{number}")
        rows = [f"192.0.2.{each + 100},00:00:5e:00:53:{each:02x},,{SEEN}" for each in range(1, number + 1)]
        rows += [f"192.0.2.{each + 50},fa:00:5e:00:53:{each:02x},,{SEEN}" for each in range(1, number + 1)]
        send_and_accept(rows)

    def send_and_accept(rows: list[str]) -> None:
        where = send(browser, site, "\n".join(["ip,mac,name,seen at", *rows]))["Location"]
        browser.post(where)

    first, third = grown(browser, reverse("site-network", args=[site.code]), add)
    assert first == third
    assert queries_of(browser, reverse("site", args=[site.code])) < 45


def test_the_command_says_the_same(site: Site, item: Item, tmp_path: Any, capsys: Any) -> None:
    file = tmp_path / "hosts.csv"
    file.write_text(HOSTS, encoding="utf-8")
    call_command("import_sweep", site.code, file, "--dry-run")
    assert capsys.readouterr().out.splitlines() == [
        "Columns left aside: vendor.",
        "NH-1: 192.0.2.14 -> 192.0.2.24",
        "not in the register: 192.0.2.77 fa:00:5e:00:53:77",
        "1 item seen at another address, 1 host not in the register.",
        "Nothing was recorded.",
    ]
    assert not NetworkSweep.objects.exists()
    call_command("import_sweep", site.code, file)
    call_command("import_sweep", site.code, file)
    assert "This very file was accepted before: nothing changed." in capsys.readouterr().out
    file.write_text("ip,mac\n192.0.2.1,x\n", encoding="utf-8")
    with pytest.raises(CommandError, match="row 2, mac: 'x'"):
        call_command("import_sweep", site.code, file, "--at", "2026-11-12T10:30")
