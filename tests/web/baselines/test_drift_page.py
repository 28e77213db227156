"""The page of a site's drift: zones and settings against the newest baseline, the worst first; ranked on Today."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Drift, Line, Zone
from registry.baselines.drift import refresh_drift
from registry.baselines.models import Baseline, Reading
from registry.demo.factories import (
    BaselineFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    LineFactory,
    ReadingFactory,
    SettingFactory,
    SiteFactory,
    UserFactory,
    ZoneFactory,
)
from registry.equipment.models import Place
from sites.models import Role, Site, User, YesNoUnknown
from tests.web.audio.conftest import add_loudspeakers
from tests.web.baselines.test_query_counts import grow
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, csv_of, queries_of, text_of


def page_of(browser: Browser, site: Site) -> Any:
    return browser.get(reverse("site-drift", args=[site.code]))


def drifted(zone: Zone, level_db: float, **facts: object) -> Reading:
    made: Reading = ReadingFactory(zone=zone, level_db=level_db, taken_at=timezone.now(), **facts)
    refresh_drift(Zone.objects.filter(pk=zone.pk))
    return made


def set_to(place: Place, key: str, value: str, unit: str = "") -> None:
    SettingFactory(record=ConfigurationRecordFactory(place=place), key=key, value=value, unit=unit)


def rows_of(page: Any) -> dict[str, Any]:
    return {row.zone.name: row for row in page.context["rows"]}


def test_the_worst_zone_stands_first_and_says_whether_it_is_real(
    browser: Browser, site: Site, baseline: Baseline, bar: Zone, hall: Zone
) -> None:
    drifted(hall, 60.0)
    page = page_of(browser, site)
    assert answer_of(page) == "1 zone out of tolerance, 1 not measured. Every setting is as in baseline 1."
    assert list(rows_of(page)) == ["Hall", "Bar"]
    assert rows_of(page)["Hall"].proof.real == "yes"
    words = text_of(page)
    assert "Is it real? Yes: −6.0 dB; these two readings prove a change of 1.0 dB or more" in words
    assert "Which reading would decide? Read it once with Meter A at P1 by the till to Reference track 1" in words


def test_an_undecided_zone_says_which_reading_decides(
    browser: Browser, site: Site, baseline: Baseline, hall: Zone
) -> None:
    drifted(hall, 66.4, meter="Meter B", meter_class="phone")
    found = rows_of(page_of(browser, site))["Hall"]
    assert (found.drift.verdict, found.proof.repeats) == (Drift.UNDECIDED, 1)
    assert "Read it once more with Meter A at P2 gate to Reference track 1" in text_of(page_of(browser, site))


def test_several_readings_are_compared_at_once_in_the_workbench(
    browser: Browser, site: Site, baseline: Baseline, hall: Zone, bar: Zone
) -> None:
    drifted(hall, 69.01)
    drifted(bar, 62.4)
    rows = rows_of(page_of(browser, site))
    # 3.01 dB from the baseline, tolerance 2 dB: one reading proves 1.02 dB, the mean of two proves 1.00 dB.
    assert rows["Hall"].proof.repeats == 2
    assert rows["Bar"].workbench == ""
    answer = answer_of(browser.get(rows["Hall"].workbench))
    assert answer.startswith("Undecided : 3.01 ± 1.02 dB from the baseline")
    twice = rows["Hall"].workbench.replace("readings=69.01", "readings=68.87%2C+69.15")
    assert answer_of(browser.get(twice)).startswith("Out")


def test_settings_that_differ_stand_where_they_are_heard_the_ten_first(
    browser: Browser, site: Site, baseline: Baseline, amplifier: Place
) -> None:
    router = FilledPlaceFactory(site=site, name="Router")
    set_to(router, "firmware", "2")
    frozen = BaselineFactory(site=site)
    set_to(amplifier, "bass", "4", "dB")
    set_to(amplifier, "auto-standby", "on")
    set_to(amplifier, "source", "Line in")
    set_to(router, "firmware", "3")
    page = page_of(browser, site)
    assert [
        (row.label, row.where, row.before, row.after, row.is_one_of_ten) for row in rows_of(page)["Bar"].settings
    ] == [
        ("source", "Amplifier 1", "Stream 1", "Line in", True),
        ("bass", "Amplifier 1", "-2 dB", "4 dB", True),
        ("auto-standby", "Amplifier 1", "not known", "on", False),
    ]
    # The router drives no line: it stands by itself.
    assert [(row.where, row.label) for row in page.context["elsewhere"]] == [("Router", "firmware")]
    assert answer_of(page).endswith(
        f"4 settings differ from baseline {frozen.number}, 3 of them among the ten that drift most."
    )
    assert rows_of(page)["Hall"].settings == []


def test_readings_over_time_are_drawn_for_a_phone_and_for_a_desk(
    browser: Browser, site: Site, baseline: Baseline, bar: Zone
) -> None:
    drifted(bar, 62.4)
    page = page_of(browser, site).content.decode()
    assert page.count(f'id="history-{bar.pk}-wide-title"') == page.count(f'id="history-{bar.pk}-narrow-title"') == 1


def test_a_zone_on_a_flagged_line_is_offered_no_change(
    browser: Browser, site: Site, baseline: Baseline, line: Line, bar: Zone
) -> None:
    Line.objects.update(life_safety=YesNoUnknown.UNKNOWN)
    drifted(bar, 64.0)
    found = rows_of(page_of(browser, site))["Bar"]
    assert found.may_change is False
    assert "put the level back" not in found.proof.next_reading
    assert "so no change is offered; local codes and licensed practice decide." in text_of(page_of(browser, site))


def test_hearing_is_cautioned_about_where_a_loud_zone_is_to_be_read_again(
    browser: Browser, site: Site, hall: Zone
) -> None:
    zone = ZoneFactory(site=site, name="Loud")
    ReadingFactory(zone=zone, level_db=82.0)
    BaselineFactory(site=site)
    assert "80 dB(A) or more: staff exposure" in text_of(page_of(browser, site))


def test_without_baseline_or_zones_it_says_what_to_do(browser: Browser, site: Site) -> None:
    page = page_of(browser, site)
    assert answer_of(page) == "No zones are recorded yet. There is no baseline to compare with."
    for name in ("baseline-freeze", "zone-new"):
        assert reverse(name, args=[site.code]) in page.content.decode()


def test_an_owner_reads_it_without_buttons(site: Site, baseline: Baseline, owner: User, sign_in: SignIn) -> None:
    page = page_of(sign_in(owner), site)
    assert page.status_code == 200
    assert "Read a level" not in text_of(page)


def test_the_page_costs_the_same_with_one_zone_as_with_three(browser: Browser, site: Site) -> None:
    def add(number: int) -> None:
        grow(site, number)
        BaselineFactory(site=site)
        for place in site.places.all():
            set_to(place, "bass", str(number), "dB")
        for zone in site.zones.all():
            drifted(zone, 62.0 + number)

    address = reverse("site-drift", args=[site.code])
    add(1)
    first = queries_of(browser, address)
    add(2)
    add(3)
    assert queries_of(browser, address) == first


def with_zones(name: str, *drifts: tuple[Drift, float]) -> Site:
    site: Site = SiteFactory(name=name)
    for verdict, drift_db in drifts:
        ZoneFactory(site=site, drift=verdict, drift_db=drift_db)
    BaselineFactory(site=site)
    # Freezing judged the zones again; their drift here is given, not read.
    for zone, (verdict, drift_db) in zip(site.zones.order_by("pk"), drifts, strict=True):
        Zone.objects.filter(pk=zone.pk).update(drift=verdict, drift_db=drift_db)
    return site


def ranked_sites() -> list[str]:
    """Make six sites and return their names as they should rank."""
    out, doubt, fine = Drift.OUT, Drift.UNDECIDED, Drift.WITHIN
    with_zones("Fern", (doubt, 1.9), (fine, 9.0))
    with_zones("Elm", (doubt, 2.2), (doubt, 2.1))
    with_zones("Alder", (out, 4.0), (out, -3.5))
    with_zones("Birch", (out, -7.0), (doubt, 2.0))
    with_zones("Cedar", (out, 8.0), (fine, 0.1))
    with_zones("Dogwood", (out, -6.0))
    with_zones("Gorse", (fine, 0.2))
    return ["Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fern"]


def test_today_ranks_sites_by_drift_and_leads_to_all_of_them(browser: Browser) -> None:
    names = ranked_sites()
    page = browser.get(reverse("today"))
    concern = next(each for each in page.context["concerns"] if each.heading == "Sites by drift")
    assert (concern.number, [row.name for row in concern.rows]) == (6, names[:5])
    assert concern.rows[1].why == "1 out, 1 undecided of 2 zones, largest drift −7.0 dB"
    assert concern.rows[0].href == reverse("site-drift", args=[Site.objects.get(name="Alder").code])
    assert concern.short == ""  # "5 zones out of tolerance" says it already
    listing = browser.get(concern.all_href).context["listing"]
    assert [row.object.name for row in listing.rows] == names


def test_a_doubt_alone_is_said_on_today(browser: Browser) -> None:
    with_zones("Elm", (Drift.UNDECIDED, 2.2))
    assert answer_of(browser.get(reverse("today"))) == "1 site with undecided zones."


@pytest.mark.parametrize(
    ("asked", "names"),
    [("yes", {"Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fern"}), ("out", {"Alder", "Birch", "Cedar", "Dogwood"})],
)
def test_the_list_of_sites_is_filtered_by_drift(browser: Browser, asked: str, names: set[str]) -> None:
    ranked_sites()
    listing = browser.get(reverse("sites"), {"drift": asked}).context["listing"]
    assert {row.object.name for row in listing.rows} == names


def test_the_list_of_sites_says_how_each_one_drifts(browser: Browser, site: Site, baseline: Baseline) -> None:
    ZoneFactory(site=site, name="Yard", drift=Drift.NOT_MEASURED)
    Zone.objects.filter(name="Bar").update(drift=Drift.OUT, drift_db=-4.2)
    with time_machine.travel(timezone.now() + timedelta(days=5)):
        browser.force_login(UserFactory(role=Role.TECH))  # the sign-in of five days ago has run out
        header, row = csv_of(browser.get(reverse("sites"), {"export": "csv", "name": "North"}))
    found = dict(zip(header.split(","), row.split(","), strict=True))
    last = Reading.objects.latest("taken_at").taken_at.astimezone(site.zone_info).date()
    assert {name: found[name] for name in list(found)[4:9]} == {
        "Zones out of tolerance": "1",
        "Undecided": "0",
        "Not measured": "2",
        "Largest drift (dB)": "-4.2",
        "Last reading": last.isoformat(),
    }
    assert found["Baseline age in days"] == "5"


def test_the_list_of_sites_costs_the_same_with_one_site_as_with_three(browser: Browser) -> None:
    def add(number: int) -> None:
        made = with_zones(f"Site {number}", (Drift.OUT, 4.0))
        add_loudspeakers(LineFactory(site=made), made.zones.get(), "LS-1")
        ReadingFactory(zone=made.zones.get())

    for address in (f"{reverse('sites')}?drift=yes&sort=-zones-out-of-tolerance", f"{reverse('sites')}?export=csv"):
        add(1)
        first = queries_of(browser, address)
        add(2)
        add(3)
        assert queries_of(browser, address) == first
