"""Lists filter, sort, page and export what they show."""

import csv
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.demo.factories import (
    AmplifierModelFactory,
    BaselineFactory,
    FilledPlaceFactory,
    ItemFactory,
    LineFactory,
    LoudspeakerModelFactory,
    MakeModelFactory,
    RackFactory,
    ReadingFactory,
    SiteFactory,
    ZoneFactory,
)
from registry.equipment.models import Status
from registry.planning.models import FoldPlan
from registry.reports import workbook
from registry.reports.tables import csv_text
from registry.web.addresses import row_page
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, csv_of, text_of, xlsx_of


def tags(browser: Browser, **asked: str) -> list[str]:
    response = browser.get(reverse("equipment"), asked)
    return [row.object.tag for row in response.context["listing"].rows]


def test_items_are_filtered_by_words_kind_state_and_warranty(browser: Browser, site: Site) -> None:
    soon = timezone.localdate() + timedelta(days=89)
    ItemFactory(site=site, tag="A-1", serial="XY77", make_model=AmplifierModelFactory(name="ZETA"))
    ItemFactory(site=site, tag="A-2", status=Status.SPARE, warranty_until=soon)
    ItemFactory(site=site, tag="A-3", make_model=LoudspeakerModelFactory(), warranty_until=soon + timedelta(days=9))
    assert tags(browser, q="xy7") == ["A-1"]
    assert tags(browser, q="zeta") == ["A-1"]
    assert tags(browser, kind="loudspeaker") == ["A-3"]
    assert tags(browser, status="spare") == ["A-2"]
    assert tags(browser, warranty="90") == ["A-2"]
    assert tags(browser, site=str(site.pk)) == ["A-1", "A-2", "A-3"]


def test_a_removed_item_needs_no_warranty(browser: Browser, site: Site) -> None:
    ItemFactory(site=site, status=Status.REMOVED, warranty_until=timezone.localdate() + timedelta(days=3))
    assert tags(browser, warranty="90") == []


def test_a_column_sorts_both_ways_and_unknown_orders_are_ignored(browser: Browser, site: Site) -> None:
    for tag, serial in (("A-1", "c"), ("A-2", "a"), ("A-3", "b")):
        ItemFactory(site=site, tag=tag, serial=serial)
    assert tags(browser, sort="serial") == ["A-2", "A-3", "A-1"]
    assert tags(browser, sort="-serial") == ["A-1", "A-3", "A-2"]
    assert tags(browser, sort="password") == ["A-1", "A-2", "A-3"]


def test_the_largest_drift_comes_first_and_unknown_ones_last(browser: Browser, site: Site) -> None:
    for name, drift_db in (("A", None), ("B", -3.0), ("C", 4.5), ("D", None), ("E", 0.5)):
        ZoneFactory(site=site, name=name, drift_db=drift_db)
    rows = browser.get(reverse("zones"), {"sort": "-drift"}).context["listing"].rows
    assert [row.object.name for row in rows] == ["C", "E", "B", "A", "D"]


def test_addresses_of_rows_are_those_of_their_pages(site: Site) -> None:
    assert row_page("item", 4711) == reverse("item", args=[4711])
    assert row_page("site", site.code) == reverse("site", args=[site.code])
    assert row_page("site-drift", "a_B-0") == reverse("site-drift", args=["a_B-0"])


def test_a_page_holds_25_rows_and_keeps_the_filter(browser: Browser, site: Site) -> None:
    model = AmplifierModelFactory()
    for number in range(27):
        ItemFactory(site=site, tag=f"A-{number:02d}", make_model=model)
    assert tags(browser, page="2", q="A-") == ["A-25", "A-26"]
    assert tags(browser, page="99") == ["A-25", "A-26"]
    page = browser.get(reverse("equipment"), {"q": "A-"}).content.decode()
    assert 'href="?q=A-&amp;page=2"' in page
    assert "1 to 25 of 27" in page


def test_a_filter_that_makes_no_sense_is_said_beside_it_and_shows_nothing(browser: Browser, site: Site) -> None:
    ItemFactory(site=site)
    response = browser.get(reverse("equipment"), {"warranty": "soon"})
    assert response.status_code == 200
    assert "Enter a number." in text_of(response)
    assert response.context["listing"].rows == []
    assert 'value="soon"' in response.content.decode()


def exported(browser: Browser, url: str, **asked: str) -> list[tuple[Any, ...]]:
    """Return the rows of an export; both kinds of file have to hold the same ones in the same order."""
    lines = list(csv.reader(csv_of(browser.get(url, {**asked, "export": "csv"}))))
    rows = list(xlsx_of(browser.get(url, {**asked, "export": "xlsx"})).values)
    assert lines[0] == list(rows[0])
    assert [line[1] for line in lines] == [csv_text(row[1]).removesuffix("T00:00:00") for row in rows]
    return rows


def test_the_export_holds_every_page_in_its_sorting_with_units_and_no_formula(browser: Browser, site: Site) -> None:
    for number in range(26):
        MakeModelFactory(name=f"M {number:02d}", make__name="Make Z", weight_kg=2.5, rack_units=2, max_w=None)
    MakeModelFactory(name="=1+1", make__name="@Make", weight_kg=None)
    rows = exported(browser, reverse("models"))
    assert rows[0] == ("Model", "Kind", "Height (U)", "Weight (kg)", "Greatest power (W)", "Items")
    assert len(rows) == 1 + 27
    assert rows[1] == ("@Make =1+1", "Amplifier", 1, None, 250, 0)
    assert rows[2] == ("Make Z M 00", "Amplifier", 2, 2.5, None, 0)
    assert exported(browser, reverse("models"), sort="-model")[1][0] == "Make Z M 25"


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_the_export_is_a_download_that_nobody_keeps(browser: Browser, site: Site, kind: str) -> None:
    types = {"csv": "text/csv; charset=utf-8", "xlsx": workbook.CONTENT_TYPE}
    response = browser.get(reverse("equipment"), {"export": kind})
    assert response.headers["Content-Type"] == types[kind]
    assert response.headers["Content-Disposition"] == f'attachment; filename="equipment.{kind}"'
    assert response.headers["Cache-Control"] == "private, no-store"
    assert b"".join(response.streaming_content)


def test_the_export_keeps_the_filter_and_has_real_dates(browser: Browser, site: Site) -> None:
    model = LoudspeakerModelFactory(name="CL-1", make__name="Make A")
    ItemFactory(site=site, tag="A-1", make_model=model, warranty_until=date(2027, 2, 28))
    ItemFactory(site=site, tag="B-2")
    rows = exported(browser, reverse("equipment"), q="CL-1")
    assert len(rows) == 2
    assert rows[1][:6] == ("A-1", "Make A CL-1", "Loudspeaker", "North Hall", None, None)
    assert rows[1][8] == datetime(2027, 2, 28)  # noqa: DTZ001 (as openpyxl reads a day)


def test_an_owner_exports_what_is_theirs(owner: User, stranger: User, site: Site, sign_in: SignIn) -> None:
    ItemFactory(site=site, tag="A-1")
    assert len(exported(sign_in(owner), reverse("equipment"))) == 2
    assert len(exported(sign_in(stranger), reverse("equipment"))) == 1


def test_every_list_offers_both_files(browser: Browser, site: Site, tech: User) -> None:
    zone = ReadingFactory(zone__site=site).zone
    LineFactory(site=site)
    model = ItemFactory(site=site).make_model
    BaselineFactory(site=site)
    content = {"plan": {"amplifiers": []}, "zones": []}
    FoldPlan.objects.create(site=site, number=1, title="A", author=tech, saved_at=timezone.now(), content=content)
    lists: list[tuple[str, list[Any]]] = [(name, []) for name in ("clients", "sites", "equipment", "models", "lines")]
    lists += [("zones", []), ("client", [site.client_id]), ("model", [model.pk]), ("zone", [zone.pk])]
    lists += [("baselines", [site.code]), ("fold-plans", [site.code])]
    for name, args in lists:
        url = reverse(name, args=args)
        page = browser.get(url).content.decode()
        assert 'href="?export=csv"' in page and 'href="?export=xlsx"' in page, name
        assert len(exported(browser, url)) > 1, name


def test_an_empty_list_says_what_to_do_next(browser: Browser) -> None:
    assert "Open a site and record its items, or import a survey." in text_of(browser.get(reverse("equipment")))
    assert "No items fit" in text_of(browser.get(reverse("equipment"), {"q": "nothing"}))


def test_weights_are_shown_in_the_units_of_the_site(browser: Browser) -> None:
    site = SiteFactory(units="us")
    rack = RackFactory(site=site, height_u=6, max_load_kg=100.0)
    FilledPlaceFactory(site=site, rack=rack, position_u=1)
    assert "8.82\u00a0lb" in browser.get(reverse("rack", args=[rack.pk])).content.decode()


def test_the_answer_counts_items_by_state(browser: Browser, site: Site) -> None:
    ItemFactory(site=site)
    ItemFactory(site=site)
    ItemFactory(site=site, status=Status.FAULTY)
    assert answer_of(browser.get(reverse("equipment"))) == "3 items: 2 in service, 1 faulty."
