"""Choosing labels and getting them."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.baselines.models import Baseline
from registry.demo.factories import CoilFactory, FilledPlaceFactory, LineFactory, RackFactory
from sites.models import Rack, Site
from tests.reports.papers import codes_of, page_sizes_mm, reader, words_of
from tests.web.pages import answer_of, queries_of, text_of

TAPE = {"paper": "tape", "tape_mm": "12", "length_mm": "70"}
A4 = {"paper": "a4", "columns": "3", "rows": "8", "width_mm": "63.5", "height_mm": "33.9", "gap_x_mm": "2.5"}
REST = {"gap_y_mm": "0", "skip": "0"}
ALL = TAPE | A4 | REST


def pdf(site: Site) -> str:
    return reverse("labels-pdf", args=[site.code])


def test_the_page_counts_what_can_be_labelled(browser: Browser, baseline: Baseline, site: Site) -> None:
    shown = browser.get(reverse("labels", args=[site.code]))
    assert answer_of(shown) == (
        "1 rack, 1 place, 1 piece of cable and 1 loudspeaker can be labelled; a piece of cable takes two labels."
    )
    assert "Mains inside." in text_of(shown)


def test_a_site_with_nothing_says_what_to_record(browser: Browser, site: Site) -> None:
    assert answer_of(browser.get(reverse("labels", args=[site.code]))) == (
        "Nothing is recorded yet that could be labelled: record racks, places or lines first."
    )
    refused = browser.get(pdf(site))
    assert refused.status_code == 422
    assert "Nothing is recorded that could be labelled so." in text_of(refused)


def test_without_a_choice_racks_and_places_come_on_12_mm_tape(browser: Browser, baseline: Baseline, site: Site) -> None:
    response = browser.get(pdf(site))
    assert response.headers["Content-Disposition"] == 'inline; filename="labels-north-hall.pdf"'
    assert response.headers["Cache-Control"] == "private, no-store"
    assert page_sizes_mm(response.content) == [(70.0, 12.0)] * 2
    rack, place = site.racks.get(), site.places.get()
    assert codes_of(response.content, 0) == [f"http://testserver/racks/{rack.pk}/"]
    assert codes_of(response.content, 1) == [f"http://testserver/places/{place.pk}/"]


def test_cables_and_loudspeakers_on_a_sheet(browser: Browser, baseline: Baseline, site: Site) -> None:
    response = browser.get(pdf(site), ALL | {"paper": "a4", "kinds": ["cables", "loudspeakers"], "skip": "2"})
    assert page_sizes_mm(response.content) == [(210.0, 297.0)]
    words = words_of(response.content)
    assert words.count("1.5 mm²") == 2
    assert "this end: LS-01" in words
    assert "L1 Bar, string 1, coil 1" in words


def test_a_rack_s_own_labels(browser: Browser, baseline: Baseline, site: Site, rack: Rack) -> None:
    FilledPlaceFactory(site=site, name="Till player")
    address = f"{reverse('labels', args=[site.code])}?rack={rack.pk}"
    assert address in browser.get(reverse("rack", args=[rack.pk])).content.decode()
    assert f'value="{rack.pk}" selected' in browser.get(address).content.decode()
    content = browser.get(pdf(site), ALL | {"paper": "tape", "kinds": ["places"], "rack": rack.pk}).content
    assert len(reader(content).pages) == 1
    assert "Till player" not in words_of(content)


def test_a_rack_of_another_site_is_no_choice(browser: Browser, baseline: Baseline, site: Site) -> None:
    refused = browser.get(pdf(site), ALL | {"paper": "tape", "kinds": ["places"], "rack": RackFactory().pk})
    assert refused.status_code == 422
    assert "rack" in refused.context["form"].errors


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"width_mm": "90"}, "width_mm", "3 labels across take 275 mm; an A4 sheet has room for 202 mm"),
        ({"rows": "9"}, "height_mm", "9 labels down take 305.1 mm; an A4 sheet has room for 281 mm"),
        ({"columns": "11"}, "columns", "Give 10 or less."),
        ({"columns": "0"}, "columns", "Give 1 or more."),
        ({"height_mm": "8.9"}, "height_mm", "Give 9 or more."),
        ({"width_mm": "nan"}, "width_mm", "Enter a number"),
        ({"width_mm": "wide"}, "width_mm", "Enter a number"),
        ({"skip": "24"}, "skip", "No label would be left on the first sheet."),
        ({"length_mm": "1e9"}, "length_mm", "Give 200 or less."),
        ({"kinds": []}, "kinds", "Fill this in."),
        ({"kinds": ["cats"]}, "kinds", "Select a valid choice"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(
    browser: Browser, baseline: Baseline, site: Site, changed: dict[str, str], field: str, says: str
) -> None:
    refused = browser.get(pdf(site), ALL | {"paper": "a4", "kinds": ["places"]} | changed)
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == [field]
    assert says in refused.context["form"].errors[field][0]
    page = refused.content.decode()
    assert f'id="id_{field}_error"' in page
    assert 'name="paper" value="a4"' in page
    if field in {"width_mm", "length_mm"}:
        assert f'value="{changed[field]}"' in page


def test_identifiers_that_don_t_fit_are_named(browser: Browser, baseline: Baseline, site: Site) -> None:
    FilledPlaceFactory(site=site, name="x" * 80)
    small = ALL | {"paper": "tape", "kinds": ["places"], "tape_mm": "9", "length_mm": "30"}
    refused = browser.get(pdf(site), small)
    assert refused.status_code == 422
    assert f"“{'x' * 80}” doesn't fit on a label of this size: make the labels larger." in text_of(refused)


def test_labels_cost_the_same_queries_however_many_there_are(browser: Browser, baseline: Baseline, site: Site) -> None:
    query = (
        "?paper=tape&tape_mm=12&length_mm=70&columns=3&rows=8&width_mm=63.5&height_mm=33.9&gap_x_mm=2&gap_y_mm=0&skip=0"
    )
    kinds = "&kinds=racks&kinds=places&kinds=cables&kinds=loudspeakers"

    def costs() -> list[int]:
        return [
            queries_of(browser, reverse("labels", args=[site.code])),
            queries_of(browser, pdf(site) + query + kinds),
        ]

    first = costs()
    for _ in range(2):
        RackFactory(site=site)
        CoilFactory(line=LineFactory(site=site))
    assert costs() == first
