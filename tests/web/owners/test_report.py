"""The owner's report: one set of figures in three forms, what is not known beside what is known, nothing secret."""

import re
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import (
    ItemFactory,
    LoudspeakerFactory,
    PlacementFactory,
    SiteFactory,
    ZoneFactory,
)
from registry.demo.factories.visits import FindingFactory
from registry.equipment.filling import fill_places
from registry.equipment.models import Place
from registry.reports import owners_sheet
from registry.visits.finding import close_finding
from registry.visits.models import OwnersReport
from sites.models import Site, User
from sites.put import Batch
from tests.web.conftest import SignIn
from tests.web.owners.reading_back import sheets_of, tables_of_page, words_of_pdf
from tests.web.pages import answer_of, queries_of, text_of

PAGE, PDF, XLSX = "owners-report-site", "owners-report-site-pdf", "owners-report-site-xlsx"


def taken(browser: Browser, name: str, site: Site, query: str = "") -> bytes:
    response: Any = browser.get(reverse(name, args=[site.code]) + query)
    assert response.status_code == 200
    return b"".join(response.streaming_content) if response.streaming else response.content


def as_page(value: Any, digits: int = 0) -> str:
    """Write a value of the workbook as the page does: figures by this test's own rules, not the program's."""
    if value is None:
        return "not known"
    if isinstance(value, datetime | date):
        return f"{value.day} {value:%b %Y}"
    return f"{value:,.{digits}f}".replace("-", "−") if isinstance(value, int | float) else str(value)


def test_the_answer_says_what_is_known_and_what_is_not(browser: Browser, equipped: Site) -> None:
    """700 ÷ 4 + 1234.50 ÷ 8 + 640 ÷ 6 + 480 ÷ 10 + 3 × 90 ÷ 15 = 501.98 GBP; 330 ÷ 8 = 41.25 USD (by hand).

    480 over 10 years is the amplifier that the factory puts into the place with the host name.
    """
    answer = answer_of(browser.get(reverse(PAGE, args=[equipped.code])))
    assert answer == (
        "1 open finding can hurt someone. The level is as agreed in 0 of 2 zones (1 not as agreed, 1 not measured); "
        "1 of 6 items is past its expected life (2 not known); "
        "plan about 502 GBP and 41 USD a year (1 piece without a price)."
    )


@pytest.mark.parametrize("query", ["", "?inflation=3.5"])
def test_page_pdf_and_workbook_hold_the_same_figures(browser: Browser, equipped: Site, query: str) -> None:
    page = taken(browser, PAGE, equipped, query).decode()
    tables, sheets = tables_of_page(page), sheets_of(taken(browser, XLSX, equipped, query))
    paper = words_of_pdf(taken(browser, PDF, equipped, query))
    for heading, rows in tables.items():
        assert "".join(heading.split()) in paper
        for part in "|".join(cell for row in rows for cell in row).split("|"):
            assert "".join(part.split()) in paper, (heading, part)
    for currency in ("GBP", "USD"):
        rows = [row for row in sheets["Cost by year"] if row[1] == currency]
        total = ["Total", as_page(sum(row[2] for row in rows)), as_page(sum(row[3] for row in rows))]
        shown = [[row[0], as_page(row[2]), as_page(row[3])] for row in rows]
        assert tables[f"Replacement cost by year, {currency}"][1:] == [*shown, total]
    equipment = [
        [
            f"{row[1]}{'|' + row[2] if row[2] else ''}", f"{row[4]}|{row[5]}, {row[3]}", as_page(row[6]),
            as_page(row[7]), as_page(row[8]), as_page(row[12]), as_page(row[13], 1),
            "not known" if row[14] is None else f"{as_page(row[14], 2)} {row[15]}",
        ]
        for row in sheets["Equipment"]
    ]  # fmt: skip
    assert tables["Equipment"][1:] == equipment
    calls = [[row[0], *(as_page(value) for value in row[1:])] for row in sheets["Calls"]]
    assert tables["Service calls"][1:] == calls
    lives = [
        [row[0], as_page(row[1]), "not known" if row[2] is None else f"{row[2]:g}", row[3]]
        for row in sheets["Useful lives"]
    ]
    assert tables["How this was worked out"][1:] == lives
    assert [[row[0], row[2]] for row in sheets["Zones"]] == tables["Sound level in the zones"][1:]
    speakers = [
        [row[1], row[2], as_page(row[3]), f"{row[4]:g}", f"{as_page(row[5], 2)} {row[6]}"]
        for row in sheets["Loudspeakers"]
    ]
    assert tables["Loudspeakers"][1:] == speakers
    findings = [
        [row[0], row[1], ", ".join(filter(None, row[2:4])), row[4], as_page(row[5])] for row in sheets["Findings"]
    ]
    assert tables["Found and not done yet"][1:] == findings


def test_the_drawings_and_the_summary_hold_them_too(browser: Browser, equipped: Site) -> None:
    page = taken(browser, PAGE, equipped).decode()
    sheets = sheets_of(taken(browser, XLSX, equipped))
    summary = dict(sheets["Summary"])
    drawn = re.findall(r'data-label="([^"]+)" data-value="([^"]+)"', page)
    ages = [(row[0], str(row[1])) for row in sheets["Ages"]]
    costs = [(row[0], f"{row[3]:g}") for row in sheets["Cost by year"]]
    assert drawn == ages + costs
    words = text_of(browser.get(reverse(PAGE, args=[equipped.code])))
    paper = words_of_pdf(taken(browser, PDF, equipped))
    for sentence in (
        f"{summary['Items in use']} items in use, {summary['Items without a date of installation']} without a date",
        f"Put aside {summary['Plan a year, GBP']:,} GBP a year",
        f"10 calendar years: {summary['Total of the years, GBP']:,} GBP",
        f"{summary['Pieces in no year, GBP']} pieces, {summary['Cost of pieces in no year, GBP']} GBP today",
        f"{summary['Visits done']} visits done, {summary['Visits done with exceptions']} done with exceptions",
        f"is not known for {summary['Items without an end of warranty']} of {summary['Items in use']} items",
        "Switch (Make",
        "warranty until 15 Dec 2026",
    ):
        assert sentence in words, sentence
        assert "".join(sentence.split()) in paper, sentence
    assert summary["Loudspeakers"] == 3
    assert summary["Items past their expected life"] == 1


def test_costs_fall_into_their_years_and_rise_with_inflation(browser: Browser, equipped: Site) -> None:
    """By hand: the battery ended in 2025, so now and again in 2030 and 2034; the switch at the end of its support in
    2028, its successor after 8 years beyond the ten; amplifiers in 2031 (6 years) and 2034 (10 years)."""
    plain = {row[0]: row[3] for row in sheets_of(taken(browser, XLSX, equipped))["Cost by year"] if row[1] == "GBP"}
    assert {year: cost for year, cost in plain.items() if cost} == {
        "Now": 700, "2028": 1235, "2030": 700, "2031": 640, "2034": 700 + 480,
    }  # fmt: skip
    dearer = sheets_of(taken(browser, XLSX, equipped, "?inflation=10"))["Cost by year"]
    raised = {row[0]: row[3] for row in dearer if row[1] == "GBP" and row[3]}
    # 1.1 squared, to the fourth, fifth and eighth: 1.21, 1.4641, 1.61051, 2.14358881.
    assert raised == {
        "Now": 700, "2028": round(1234.5 * 1.21), "2030": round(700 * 1.4641), "2031": round(640 * 1.61051),
        "2034": round(1180 * 2.14358881),
    }  # fmt: skip


def test_inflation_stays_in_the_address_of_every_form(browser: Browser, equipped: Site) -> None:
    page = taken(browser, PAGE, equipped, "?inflation=2.5").decode()
    assert 'value="2.5"' in page
    for name in (PDF, XLSX, "owners-report-site-record"):
        assert f"{reverse(name, args=[equipped.code])}?inflation=2.5" in page
    assert "prices raised by 2.5 % a year, compounded" in page


@pytest.mark.parametrize("typed", ["x", "-1", "25.01", "nan", "1,5"])
def test_inflation_that_is_none_is_refused_and_kept(browser: Browser, equipped: Site, typed: str) -> None:
    page = browser.get(reverse(PAGE, args=[equipped.code]), {"inflation": typed})
    assert page.status_code == 422
    assert f'value="{typed}"' in page.content.decode()
    assert 'class="error"' in page.content.decode()
    for name in (PDF, XLSX):
        sent = browser.get(reverse(name, args=[equipped.code]), {"inflation": typed})
        assert sent.status_code == 302
        assert browser.get(sent.headers["Location"]).status_code == 422


def test_nothing_that_is_not_for_the_owner_is_in_any_form(browser: Browser, equipped: Site) -> None:
    equipped.access_notes = "Key with the neighbour"
    equipped.save()
    paper = words_of_pdf(taken(browser, PDF, equipped))
    sheets = str(sheets_of(taken(browser, XLSX, equipped)))
    page = taken(browser, PAGE, equipped).decode()
    main = page[page.index('class="owners-report"') :]
    for said in (main, paper, sheets):
        assert "Cover" in said
        for secret in ("192.0.2.7", "amp-one", "02:00:5e", "difficult", "neighbour"):
            assert secret not in said, secret


def record(browser: Browser, site: Site) -> Any:
    return browser.post(reverse("owners-report-site-record", args=[site.code]), follow=True)


def test_the_next_report_says_what_has_changed_since(browser: Browser, equipped: Site, tech: User) -> None:
    assert "No earlier report is recorded" in text_of(browser.get(reverse(PAGE, args=[equipped.code])))
    assert "The report is recorded" in text_of(record(browser, equipped))
    assert "Nothing since the report of 25 Nov 2026" in text_of(browser.get(reverse(PAGE, args=[equipped.code])))
    battery = Place.objects.get(site=equipped, name="Battery")
    spare = equipped.items.get(status="spare")
    fill_places(Batch(by=tech), {("Battery",): (battery, spare, date(2026, 11, 25))})
    hazard = equipped.findings.get(internal=False)
    close_finding(by=tech, finding=hazard, done="Fastened")
    FindingFactory(site=equipped, says="A label is missing")
    FindingFactory(site=equipped, says="We forgot the ladder", internal=True)
    words = text_of(browser.get(reverse(PAGE, args=[equipped.code])))
    assert "Replaced: Battery: Make" in words
    assert f"(TAG-Battery) by {spare.make_model} ({spare.tag})" in words
    assert "Newly found: A label is missing." in words
    assert "Dealt with: Cover hangs loose" in words
    assert "ladder" not in words[words.index("What has changed") :]
    paper = words_of_pdf(taken(browser, PDF, equipped))
    assert "Newlyfound:Alabelismissing." in paper
    assert ("Newly found: A label is missing.",) in sheets_of(taken(browser, XLSX, equipped))["Changes"]


def test_the_same_report_is_recorded_once(browser: Browser, equipped: Site) -> None:
    record(browser, equipped)
    assert "nothing has changed since the report" in text_of(record(browser, equipped))
    assert OwnersReport.objects.count() == 1


def test_a_report_of_a_client_is_another_record_than_that_of_its_site(browser: Browser, equipped: Site) -> None:
    record(browser, equipped)
    client = reverse("owners-report-client", args=[equipped.client_id])
    assert "No earlier report is recorded" in text_of(browser.get(client))


def test_nothing_known_says_so(browser: Browser, site: Site) -> None:
    page = browser.get(reverse(PAGE, args=[site.code]))
    assert answer_of(page) == (
        "No zone is recorded; 0 of 0 items are past their expected life; "
        "what to plan a year is not known, because no price is recorded."
    )
    assert words_of_pdf(taken(browser, PDF, site))
    assert sheets_of(taken(browser, XLSX, site))["Equipment"] == []


def test_a_client_without_a_site_has_a_report(browser: Browser, site: Site) -> None:
    client = site.client
    site.delete()
    assert browser.get(reverse("owners-report-client", args=[client.pk])).status_code == 200


def test_a_long_list_is_told_by_model_and_whole_in_the_workbook(
    browser: Browser, equipped: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(owners_sheet, "MOST_LISTED", 4)
    words = text_of(browser.get(reverse(PAGE, args=[equipped.code])))
    assert "6 items by model; every item with its place stands in the workbook (XLSX)." in words
    assert "TAG-Amplifier" not in words[words.index("items by model") :]
    assert len(sheets_of(taken(browser, XLSX, equipped))["Equipment"]) == 6


def grow(site: Site, items: int) -> None:
    zone = ZoneFactory(site=site)
    for _ in range(items):
        PlacementFactory(place__site=site, item__make_model__price=Decimal("10.00"))
        LoudspeakerFactory(site=site, zone=zone)
    FindingFactory(site=site)


@pytest.mark.parametrize("kind", ["", "-pdf", "-xlsx"])
def test_a_report_costs_the_same_queries_for_three_sites_and_many_items(
    browser: Browser, equipped: Site, kind: str
) -> None:
    address = reverse(f"owners-report-client{kind}", args=[equipped.client_id])
    grow(equipped, 3)
    browser.post(reverse("owners-report-client-record", args=[equipped.client_id]))
    first = queries_of(browser, address)
    grow(SiteFactory(client=equipped.client), 15)
    grow(SiteFactory(client=equipped.client), 15)
    assert queries_of(browser, address) == first


def test_the_report_is_reached_from_client_site_and_first_page(
    browser: Browser, equipped: Site, owner: User, sign_in: SignIn
) -> None:
    of_client, of_site = reverse("owners-report-client", args=[equipped.client_id]), reverse(PAGE, args=[equipped.code])
    assert of_site in browser.get(reverse("site", args=[equipped.code])).content.decode()
    assert of_client in browser.get(reverse("client", args=[equipped.client_id])).content.decode()
    assert of_client not in browser.get(reverse("today")).content.decode()
    assert of_client in sign_in(owner).get(reverse("today")).content.decode()


def test_an_item_moved_or_lying_about_is_still_counted_once(browser: Browser, equipped: Site) -> None:
    ItemFactory(site=equipped, tag="LOOSE")
    rows = sheets_of(taken(browser, XLSX, equipped))["Equipment"]
    assert [row[3] for row in rows].count("LOOSE") == 1
