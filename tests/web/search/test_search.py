"""One box finds things by what people have at hand."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import ItemFactory, LineFactory, LoudspeakerFactory, PlaceFactory, ZoneFactory
from registry.web.search.finding import mac_part
from sites.models import Site
from tests.web.pages import answer_of, text_of


def found(browser: Browser, words: str) -> dict[str, list[str]]:
    kinds = browser.get(reverse("search"), {"q": words}).context["kinds"]
    return {kind.heading: [hit.name for hit in kind.hits] for kind in kinds}


@pytest.mark.parametrize(
    "words",
    ["02:00:5e:10:00:01", "02-00-5E-10-00-01", "0200.5e10.0001", "02005E100001", "00:5e:10", "1000 01", " 02:00:5E "],
)
def test_a_mac_address_is_found_in_any_notation_and_by_a_part(browser: Browser, site: Site, words: str) -> None:
    ItemFactory(site=site, tag="NH-1", mac="02:00:5e:10:00:01")
    ItemFactory(site=site, tag="NH-2", mac="02:00:5f:11:00:02")
    assert found(browser, words)["Items"][0] == "NH-1"


def test_what_is_no_address_is_not_taken_for_one() -> None:
    assert [mac_part(words) for words in ("bar", "12", "NH-0001", "02:00:5e:10:00:01:07")] == ["", "", "", ""]


def test_items_are_found_by_tag_serial_and_model(browser: Browser, site: Site) -> None:
    ItemFactory(site=site, tag="NH-0001", serial="QX77123", make_model__name="NA-200")
    for words in ("nh-0001", "qx77", "NA-200"):
        assert found(browser, words) == {"Items": ["NH-0001"]}


@pytest.mark.parametrize("words", ["10.0.5.17", "10.0.5.", "bar-amp"])
def test_places_are_found_by_address_and_host_name(browser: Browser, site: Site, words: str) -> None:
    PlaceFactory(site=site, name="Amplifier 2", ip="10.0.5.17", hostname="bar-amp")
    PlaceFactory(site=site, name="Amplifier 3", ip="10.0.6.17", hostname="hall-amp")
    assert found(browser, words) == {"Places": ["Amplifier 2"]}


def test_an_address_is_found_however_it_is_spelt(browser: Browser, site: Site) -> None:
    PlaceFactory(site=site, name="Amplifier 2", ip="2001:db8::5")
    assert found(browser, "2001:0DB8:0:0:0:0:0:5") == {"Places": ["Amplifier 2"]}


def test_names_find_clients_sites_zones_lines_and_loudspeakers(browser: Browser, site: Site) -> None:
    LineFactory(site=site, name="North line", amplifier__name="Amplifier 9")
    zone = ZoneFactory(site=site, name="North bar")
    LoudspeakerFactory(site=site, zone=zone, label="North 1")
    assert found(browser, "north") == {
        "Clients": ["North Ltd"],
        "Sites": ["North Hall"],
        "Zones": ["North bar"],
        "Lines": ["North line"],
        "Loudspeakers": ["North 1"],
    }


def test_signs_of_a_pattern_are_taken_literally(browser: Browser, site: Site) -> None:
    assert found(browser, "%") == {}
    assert found(browser, "_") == {}


def test_more_than_ten_is_said_and_not_shown(browser: Browser, site: Site) -> None:
    for number in range(11):
        ItemFactory(site=site, tag=f"NH-{number:04d}")
    page = browser.get(reverse("search"), {"q": "NH-"})
    assert len(page.context["kinds"][0].hits) == 10
    assert "There are more" in text_of(page)


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("", "Type a tag, a serial, a MAC or IP address, a host name, or a part of a name."),
        ("xyzzy", "Nothing fits “xyzzy”."),
        ("north hall", "1 thing fits “north hall”."),
        ("a" * 101, "Ensure this value has at most 100 characters (it has 101)."),
        ("a\x00b", "Null characters are not allowed."),
        ("<b>", "Nothing fits “<b>”."),
    ],
)
def test_the_first_sentence_is_the_answer(browser: Browser, site: Site, words: str, answer: str) -> None:
    assert answer_of(browser.get(reverse("search"), {"q": words})) == answer
