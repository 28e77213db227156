"""The restore sheet as a PDF: the same as its page, on one or two sheets of paper."""

from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Line
from registry.baselines.models import Baseline
from registry.demo.factories import (
    BaselineFactory,
    CoilFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    LineFactory,
    LoudspeakerFactory,
    RackFactory,
    ReadingFactory,
    SettingFactory,
    ZoneFactory,
)
from registry.equipment.models import Place
from registry.reports.wording import SHORT_FORM, day
from sites.models import Site, YesNoUnknown
from tests.reports.papers import HOSTILE, page_sizes_mm, reader, squeezed, words_of
from tests.web.pages import heading_of, queries_of, text_of

SETTINGS = (
    "input",
    "source",
    "content mode",
    "bass",
    "treble",
    "cap",
    "volume",
    "power-on level",
    "group",
    "auto-standby",
)


def pdf(baseline: Baseline) -> str:
    return reverse("restore-sheet-pdf", args=[baseline.pk])


def eight_zones(site: Site) -> Baseline:
    for number in range(8):
        zone = ZoneFactory(site=site, name=f"Zone {number}", spot="P1 at the bar")
        amplifier = FilledPlaceFactory(site=site, name=f"Amplifier {number}")
        record = ConfigurationRecordFactory(place=amplifier)
        for key in SETTINGS:
            SettingFactory(record=record, key=key, value=f"{key[:3]}-{number}", unit="")
        unit = LoudspeakerFactory(site=site, zone=zone)
        CoilFactory(line=LineFactory(site=site, amplifier=amplifier, kind="100"), loudspeaker=unit, tap_w=10.0)
        ReadingFactory(zone=zone, level_db=60.0 + number)
    return BaselineFactory(site=site)


def test_eight_zones_take_two_pages_with_everything_that_the_page_has(browser: Browser, site: Site) -> None:
    baseline = eight_zones(site)
    content = browser.get(pdf(baseline)).content
    assert page_sizes_mm(content) == [(210.0, 297.0)] * 2
    on_paper = squeezed(words_of(content))
    for number in range(8):
        assert f"{60 + number}.0dB(A)" in on_paper
        assert all(squeezed(f"{key}: {key[:3]}-{number}") in on_paper for key in SETTINGS)
    on_page = text_of(browser.get(reverse("restore-sheet", args=[baseline.pk])))
    for said in (
        "A 70.7 or 100 V line can shock.",
        "Turn the dial down before you change a cap",
        "Work at height",
        "Could not be set, and why",
        "Signed",
        "Heard by",
        SHORT_FORM,
    ):
        assert said in on_page
        assert squeezed(said) in on_paper


def test_boxes_blanks_and_lines_are_drawn_not_written(browser: Browser, site: Site) -> None:
    content = browser.get(pdf(eight_zones(site))).content
    assert "□" not in words_of(content)
    # The order of work names each once more: "rows found", "rows left"; so do the sentences about what was found.
    said = words_of(content).replace("\n", " ")
    assert said.count("dB(A) found") == 8
    assert said.count("dB left") == 8


def test_as_found_comes_before_the_settings_and_they_before_as_left(browser: Browser, site: Site) -> None:
    baseline = eight_zones(site)
    on_paper = squeezed(words_of(browser.get(pdf(baseline)).content))
    on_page = squeezed(text_of(browser.get(reverse("restore-sheet", args=[baseline.pk]))))
    for words in (on_paper, on_page):
        order = squeezed("1. Read every zone as found (rows found), note settings that differ; 2. set; 3. read again")
        assert words.index(order) < words.index(squeezed("1. Before you change anything"))
        found, settings, left = (
            words.index(squeezed(heading))
            for heading in ("1. Before you change anything", "2. Settings, in this order", "3. Zones: set, read again")
        )
        assert found < settings < left


def test_the_head_says_how_to_get_in_whom_to_call_and_when_it_was_printed(
    browser: Browser, baseline: Baseline, site: Site
) -> None:
    site.access_notes, site.client.phone = "Key at the till", "+1 555 0100"
    site.save()
    site.client.save()
    place = Place.objects.get(name="Amplifier 1")
    place.rack, place.position_u, place.ip = RackFactory(site=site, name="A"), 3, "192.0.2.10"
    place.save()
    SettingFactory(record=ConfigurationRecordFactory(place=place))
    newer = BaselineFactory(site=site)
    today = day(timezone.now().astimezone(site.zone_info).date())
    on_paper = squeezed(words_of(browser.get(pdf(newer)).content))
    on_page = squeezed(text_of(browser.get(reverse("restore-sheet", args=[newer.pk]))))
    for said in (
        "Access: Key at the till",
        "North Ltd: +1 555 0100",
        f"Printed {today}",
        "rack A, unit 3 · 192.0.2.10",
    ):
        assert squeezed(said) in on_paper, said
        assert squeezed(said) in on_page, said


def test_what_may_serve_life_safety_is_named_and_has_no_step(browser: Browser, baseline: Baseline, site: Site) -> None:
    Line.objects.update(life_safety=YesNoUnknown.UNKNOWN)
    words = words_of(browser.get(pdf(baseline)).content)
    assert "Bar: not to be altered. Excluded:" in words
    assert "set, read again" not in words


def test_the_file_names_nobody_and_is_dated_by_the_baseline(browser: Browser, baseline: Baseline) -> None:
    response = browser.get(pdf(baseline))
    assert response.headers["Content-Disposition"] == 'inline; filename="restore-sheet-1-north-hall.pdf"'
    metadata = reader(response.content).metadata
    assert metadata is not None
    assert metadata.title == "Restore sheet: North Hall"
    assert metadata.author is None
    assert metadata.creation_date == baseline.frozen_at.replace(microsecond=0)


def test_a_sheet_with_too_much_on_it_leads_to_its_page(browser: Browser, site: Site) -> None:
    for _ in range(301):
        ZoneFactory(site=site, spot="P1")
    response = browser.get(pdf(BaselineFactory(site=site)), follow=True)
    assert response.headers["Content-Type"].startswith("text/html")
    assert "602 rows, 600 are allowed. Print this page instead." in text_of(response)
    assert heading_of(response) == "Restore sheet: North Hall"


def test_a_hostile_reason_is_printed_as_it_was_typed(browser: Browser, site: Site) -> None:
    baseline = BaselineFactory(site=site, reason=HOSTILE)
    assert squeezed(HOSTILE) in squeezed(words_of(browser.get(pdf(baseline)).content))


def test_the_pages_of_baseline_and_sheet_lead_to_it(browser: Browser, baseline: Baseline) -> None:
    for name in ("baseline", "restore-sheet"):
        assert pdf(baseline) in browser.get(reverse(name, args=[baseline.pk])).content.decode()


def test_it_costs_the_same_queries_however_many_zones(browser: Browser, site: Site) -> None:
    first = BaselineFactory(site=site)
    costs = queries_of(browser, pdf(first))
    assert queries_of(browser, pdf(eight_zones(site))) == costs
