"""One box finds things by what people have at hand."""

from datetime import UTC, datetime

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import (
    ItemFactory,
    LineFactory,
    LoudspeakerFactory,
    PlaceFactory,
    RackFactory,
    ZoneFactory,
)
from registry.demo.factories.visits import FindingFactory
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, text_of


def found(browser: Browser, words: str) -> dict[str, list[str]]:
    kinds = browser.get(reverse("search"), {"q": words}).context["kinds"]
    return {kind["heading"]: [hit.name for hit in kind["hits"]] for kind in kinds}


@pytest.mark.parametrize(
    "words",
    ["02:00:5e:10:00:01", "02-00-5E-10-00-01", "0200.5e10.0001", "02005E100001", "00:5e:10", "1000 01", " 02:00:5E "],
)
def test_a_mac_address_is_found_in_any_notation_and_by_a_part(browser: Browser, site: Site, words: str) -> None:
    ItemFactory(site=site, tag="NH-1", mac="02:00:5e:10:00:01")
    ItemFactory(site=site, tag="NH-2", mac="02:00:5f:11:00:02")
    assert found(browser, words)["Items"][0] == "NH-1"


def test_items_are_found_by_tag_and_serial_and_models_by_name(browser: Browser, site: Site) -> None:
    ItemFactory(site=site, tag="NH-0001", serial="QX77123", make_model__name="NA-200")
    for words in ("nh-0001", "NH0001", "nh 0001", "0001", "qx77", "7123"):
        assert found(browser, words) == {"Items": ["NH-0001"]}
    assert [name.split()[-1] for name in found(browser, "na-200")["Models"]] == ["NA-200"]


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
    RackFactory(site=site, name="North rack")
    assert found(browser, "north") == {
        "Clients": ["North Ltd"],
        "Sites": ["North Hall"],
        "Zones": ["North bar"],
        "Lines": ["North line"],
        "Racks": ["North rack"],
        "Loudspeakers": ["North 1"],
    }


def test_signs_of_a_pattern_are_taken_literally(browser: Browser, site: Site) -> None:
    assert found(browser, "%") == {}
    assert found(browser, "_") == {}


def test_more_than_ten_is_said_and_not_shown(browser: Browser, site: Site) -> None:
    for number in range(11):
        ItemFactory(site=site, tag=f"NH-{number:04d}")
    page = browser.get(reverse("search"), {"q": "NH-"})
    assert len(page.context["kinds"][0]["hits"]) == 10
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


def test_what_stands_below_the_box_is_the_best_of_it_with_a_word_for_the_screen_reader(
    browser: Browser, site: Site
) -> None:
    for number in range(9):
        ItemFactory(site=site, tag=f"BAR-{number}")
    PlaceFactory(site=site, name="Bar")
    below = browser.get(reverse("search"), {"q": "bar"}, headers={"HX-Request": "true"})
    assert [line.name for line in below.context["lines"]] == ["Bar", *(f"BAR-{number}" for number in range(7))]
    page = below.content.decode()
    assert "<html" not in page
    assert '<div hx-swap-oob="innerHTML:#found-said">10 things fit “bar”, the best 8 first' in page
    assert 'href="/search/?q=bar">Show all that fit' in page
    nothing = browser.get(reverse("search"), {"q": "xyzzy"}, headers={"HX-Request": "true"})
    assert "Nothing fits “xyzzy” yet." in text_of(nothing)


def test_an_owner_finds_what_is_theirs(owner: User, stranger: User, site: Site, sign_in: SignIn) -> None:
    ItemFactory(site=site, tag="NH-0001", make_model__name="NA-200")
    for words in ("north", "nh-0001", "0001"):
        assert found(sign_in(owner), words)
        assert found(sign_in(stranger), words) == {}
    assert found(sign_in(owner), "na-200") == {}, "models belong to no client"


def test_a_page_offers_the_box_without_script_and_with_it(browser: Browser, site: Site) -> None:
    page = browser.get(reverse("sites")).content.decode()
    assert '<form class="find" role="search" action="/search/">' in page
    assert 'hx-get="/search/"' in page
    assert "search.js" in page


def test_a_finding_is_shown_with_its_beginning_and_its_day_as_everywhere(browser: Browser, site: Site) -> None:
    says = "Grille hangs loose " * 10
    FindingFactory(site=site, says=says, found_at=datetime(2026, 11, 25, 12, tzinfo=UTC))
    words = text_of(browser.get(reverse("search"), {"q": "grille"}))
    assert f"{says[:79].rstrip()}… at North Hall" in words
    assert "25 Nov 2026" in words and "2026-11-25" not in words
