"""The page of a site begins with the answer, then shows zones, lines, racks and whom to ask."""

from django.test import Client as Browser
from django.urls import reverse

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, Zone
from registry.baselines.drift import refresh_drift
from registry.baselines.restoring import start_restore
from registry.demo.factories import (
    BaselineFactory,
    CoilFactory,
    FilledPlaceFactory,
    LineFactory,
    RackFactory,
    ReadingFactory,
    SpaceFactory,
    ZoneFactory,
)
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, text_of


def measured(site: Site, name: str, before_db: float, after_db: float | None) -> Zone:
    """Return a zone with a level at the time of the baseline and, unless None, one since."""
    zone = ZoneFactory(site=site, name=name)
    ReadingFactory(zone=zone, level_db=before_db)
    if after_db is not None:
        zone.later = after_db
    return zone


def test_the_first_sentence_counts_zones_lines_and_says_when_it_was_measured(browser: Browser, site: Site) -> None:
    zones = [measured(site, *row) for row in (("Bar", 60.0, 60.2), ("Hall", 60.0, 66.0), ("Porch", 60.0, None))]
    BaselineFactory(site=site)
    for zone in zones[:2]:
        ReadingFactory(zone=zone, level_db=zone.later)
    ZoneFactory(site=site, name="Yard")
    refresh_drift(Zone.objects.filter(site=site))
    LineFactory(site=site, verdict="fail")
    LineFactory(site=site, verdict="unknown")
    assert answer_of(browser.get(reverse("site", args=[site.code]))) == (
        "1 zone in tolerance, 1 out of tolerance, 1 not measured, 1 without a baseline. "
        "1 line is not safe to drive. 1 line can't be judged: data are missing. Last reading 4 Mar 2024."
    )


def test_each_zone_is_a_level_strip_that_a_screen_reader_can_read(browser: Browser, site: Site) -> None:
    zone = measured(site, "Bar", 60.0, 66.0)
    BaselineFactory(site=site)
    ReadingFactory(zone=zone, level_db=66.0)
    refresh_drift(Zone.objects.filter(site=site))
    page = browser.get(reverse("site", args=[site.code])).content.decode()
    assert "out; baseline 60.0 dB, tolerance ± 2.0 dB; reading 66.0 dB" in page
    assert page.count('class="drawing level-strip"') == 1


def test_a_zone_without_a_tolerance_is_drawn_with_the_usual_one(browser: Browser, site: Site) -> None:
    zone = measured(site, "Bar", 60.0, 66.0)
    Zone.objects.filter(pk=zone.pk).update(tolerance_db=None)
    BaselineFactory(site=site)
    ReadingFactory(zone=zone, level_db=66.0)
    assert "tolerance ± 2.0 dB" in browser.get(reverse("site", args=[site.code])).content.decode()


def test_a_line_that_is_not_safe_says_so_with_its_figures(browser: Browser, site: Site) -> None:
    # Three times 8 Ω in parallel is 8 / 3 = 2.67 Ω; the factory's amplifier allows 4 Ω.
    line = LineFactory(site=site, name="Bar line", amplifier=FilledPlaceFactory(site=site, name="Amplifier 9"))
    for _ in range(3):
        CoilFactory(line=line, cable="", cable_m=0.0)
    refresh_verdicts(Line.objects.all())
    words = text_of(browser.get(reverse("site", args=[site.code])))
    assert "Amplifier 9, channel 1" in words
    assert "2.67 Ω" in words
    assert "Fail" in words


def test_racks_are_drawn_and_lead_to_their_places(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, name="Rack A", height_u=12, space=SpaceFactory(site=site, name="Office"))
    place = FilledPlaceFactory(site=site, rack=rack, position_u=3, name="Amplifier 9")
    page = browser.get(reverse("site", args=[site.code])).content.decode()
    assert "Rack A, front" in page
    assert f'href="{reverse("place", args=[place.pk])}"' in page
    assert "12 U, Office" in text_of(browser.get(reverse("site", args=[site.code])))


def test_a_voice_alarm_that_may_be_there_is_a_caution(browser: Browser, site: Site) -> None:
    shown = {}
    for answer in ("yes", "no", "unknown"):
        Site.objects.filter(pk=site.pk).update(voice_alarm=answer)
        shown[answer] = "emergency paging may run here" in text_of(browser.get(reverse("site", args=[site.code])))
    assert shown == {"yes": True, "no": False, "unknown": True}


def test_a_line_that_may_serve_life_safety_is_named(browser: Browser, site: Site) -> None:
    LineFactory(site=site, life_safety="unknown")
    assert "Life-safety related: unknown; don't alter it." in text_of(browser.get(reverse("site", args=[site.code])))


def test_the_newest_baseline_has_its_number_date_and_author(browser: Browser, site: Site) -> None:
    BaselineFactory(site=site)
    newest = BaselineFactory(site=site, reason="After the refit")
    words = text_of(browser.get(reverse("site", args=[site.code])))
    assert "Baseline 2" in words
    assert f"by {newest.author}: After the refit" in words


def test_an_open_restore_is_said(browser: Browser, site: Site, tech: User) -> None:
    start_restore(by=tech, baseline=BaselineFactory(site=site))
    assert "A restore to baseline 1 is open since" in text_of(browser.get(reverse("site", args=[site.code])))


def test_an_empty_site_says_what_to_do_next(browser: Browser, site: Site) -> None:
    page = browser.get(reverse("site", args=[site.code]))
    assert answer_of(page) == "No zones are recorded yet."
    words = text_of(page)
    for hint in ("There is no baseline yet", "No zones are recorded yet. A zone is", "No lines are recorded yet."):
        assert hint in words
    assert reverse("rack-new", args=[site.code]) in page.content.decode()


def test_an_owner_is_offered_nothing_that_they_may_not_do(site: Site, owner: User, sign_in: SignIn) -> None:
    RackFactory(site=site)
    SpaceFactory(site=site)
    page = sign_in(owner).get(reverse("site", args=[site.code])).content.decode()
    for word in ("/edit/", "/new/", "Restore to it", 'method="post" action="/baselines'):
        assert word not in page
