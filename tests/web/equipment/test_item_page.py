"""The page of an item: where it is and was, its settings against the baseline, its records and their difference."""

from datetime import UTC, date, datetime

from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import (
    BaselineFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    ItemFactory,
    LineFactory,
    PlacementFactory,
    RackFactory,
    SettingFactory,
)
from registry.equipment.models import ConfigurationRecord, Item, Place, State
from sites.models import Site
from tests.web.pages import answer_of, text_of


def item_in(place: Place) -> Item:
    return place.placements.get(current=True).item


def record(place: Place, day: int, state: State = State.AS_LEFT, **settings: str) -> ConfigurationRecord:
    made = ConfigurationRecordFactory(place=place, state=state, taken_at=datetime(2026, 3, day, 9, 0, tzinfo=UTC))
    for key, value in settings.items():
        SettingFactory(record=made, key=key, value=value, unit="")
    return made


def page_of(browser: Browser, item: Item, query: str = "") -> object:
    return browser.get(reverse("item", args=[item.pk]) + query)


def test_it_says_where_it_is_and_since_when(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, name="Rack A", height_u=12)
    place = FilledPlaceFactory(site=site, rack=rack, position_u=3, name="Amplifier 2", ip="10.0.5.17")
    page = page_of(browser, item_in(place))
    words = text_of(page)
    assert "Amplifier 2 since 4 Mar 2024" in words
    assert "Rack A , lowest unit 3, front" in words
    assert "10.0.5.17" in words


def test_it_says_where_it_was(browser: Browser, site: Site) -> None:
    item = ItemFactory(site=site)
    PlacementFactory(
        item=item,
        place__site=site,
        place__name="Amplifier 1",
        installed_on=date(2020, 1, 2),
        removed_on=date(2024, 5, 6),
        current=False,
    )
    page = page_of(browser, item)
    assert "Amplifier 1 2 Jan 2020 6 May 2024" in text_of(page)
    assert answer_of(page).endswith("in service, in no place. It is in no place, so it has no settings now.")


def test_settings_are_compared_with_the_newest_baseline(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    record(place, 1, volume="40", bass="0")
    BaselineFactory(site=site)
    record(place, 2, volume="45")
    page = page_of(browser, item_in(place))
    assert answer_of(page).endswith("1 setting differs from baseline 1.")
    by_key = {line.key: (line.now, line.baseline, line.differs) for line in page.context["settings"]}
    assert by_key == {"volume": ("45", "40", True), "bass": ("0", "0", False)}


def test_a_setting_that_only_the_baseline_knows_is_shown_as_not_recorded(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site, name="Amplifier 1")
    record(place, 1, volume="40")
    BaselineFactory(site=site)
    Place.objects.filter(pk=place.pk).update(name="Amplifier 9")
    newcomer = FilledPlaceFactory(site=site, name="Amplifier 1")
    page = page_of(browser, item_in(newcomer))
    assert [(line.now, line.baseline) for line in page.context["settings"]] == [(None, "40")]
    assert "volume not recorded 40 differs never" in text_of(page)


def test_the_difference_of_any_two_records_is_shown_the_older_one_first(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    first = record(place, 1, volume="40", bass="0", trim="1")
    record(place, 2, volume="41")
    third = record(place, 3, volume="45", bass="0", loudness="off")
    page = page_of(browser, item_in(place), f"?a={third.pk}&b={first.pk}")
    difference = page.context["difference"]
    assert (difference.before, difference.after) == (first, third)
    assert [tuple(change) for change in difference.changes] == [
        ("loudness", None, "off"),
        ("trim", "1", None),
        ("volume", "40", "45"),
    ]
    assert "3 differences between the two" in text_of(page)


def test_picking_one_record_twice_or_a_foreign_one_shows_no_difference(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    mine, foreign = record(place, 1), record(FilledPlaceFactory(), 2)
    for query in (f"?a={mine.pk}&b={mine.pk}", f"?a={mine.pk}&b={foreign.pk}", "?a=x&b=y"):
        assert page_of(browser, item_in(place), query).context["difference"] is None


def test_records_of_an_earlier_item_in_the_place_stay_in_view(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    old = ItemFactory(site=site, tag="NH-OLD")
    ConfigurationRecordFactory(place=place, item=old)
    assert len(page_of(browser, item_in(place)).context["records"]) == 1
    assert "read from NH-OLD" in text_of(page_of(browser, item_in(place)))
    assert len(page_of(browser, old).context["records"]) == 1


def test_an_item_in_no_place_shows_no_record_of_others(browser: Browser, site: Site) -> None:
    ConfigurationRecordFactory(place=FilledPlaceFactory(site=site))
    assert page_of(browser, ItemFactory(site=site)).context["records"] == []


def test_a_line_that_may_serve_life_safety_is_a_caution_on_its_amplifier(browser: Browser, site: Site) -> None:
    shown = {}
    for answer in ("yes", "no", "unknown"):
        line = LineFactory(site=site, life_safety=answer)
        for url in (
            reverse("item", args=[item_in(line.amplifier).pk]),
            reverse("place", args=[line.amplifier_id]),
            reverse("record-settings", args=[line.amplifier_id]),
        ):
            shown[answer, url.split("/")[1]] = "emergency paging may run here" in text_of(browser.get(url))
    assert {key: value for key, value in shown.items() if value != (key[0] != "no")} == {}


def test_the_place_shows_its_lines_and_all_items_that_filled_it(browser: Browser, site: Site) -> None:
    place = FilledPlaceFactory(site=site, name="Amplifier 2")
    LineFactory(site=site, amplifier=place, channel="2", name="Bar line", verdict="warn")
    PlacementFactory(place=place, item__tag="NH-OLD", current=False, removed_on=None)
    page = browser.get(reverse("place", args=[place.pk]))
    words = text_of(page)
    assert "Channel 2: Bar line Warning" in words
    assert "NH-OLD" in words
    assert answer_of(page).endswith("is here since 4 Mar 2024. No settings are recorded.")
