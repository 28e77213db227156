"""Kept plans: shown, compared, rejected, accepted, wired; a zip that imports; a wiring sheet; roles."""

import io
import re
import zipfile

import pytest
from django.test import Client as Browser
from django.urls import URLPattern, reverse

from registry.audio.models import Coil, Line
from registry.equipment.models import Item, Place
from registry.exchange.checking import check_site
from registry.exchange.folder import files_of_zip
from registry.exchange.importing import import_survey
from registry.planning.fold_plans import accept_plan, keep_plan, reject_plan, standing_now
from registry.planning.kept import fitted_as, kept_of
from registry.planning.models import FoldPlan
from registry.planning.queries import acceptance_of
from registry.web.planning.urls import urlpatterns
from sites.models import Site, User
from tests.planning.asking import kept_for, requested
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, heading_of, queries_of, text_of


def page_of(name: str, plan: FoldPlan) -> str:
    return reverse(name, args=[plan.pk])


def test_a_kept_plan_shows_loads_levels_faults_parts_cables_and_where_its_figures_come_from(
    browser: Browser, plan: FoldPlan
) -> None:
    page = browser.get(page_of("fold-plan", plan))
    assert heading_of(page) == "Plan 1: Five for nine"
    assert answer_of(page).startswith("Proposed. ")
    words = text_of(page)
    for expected in (
        "Load of every channel",
        "one open coil silences",
        "Why one fewer fails",
        "Which control moves what",
        "What is set on each amplifier",
        "Jumper, one for each joint",
        "Cables",
        "Foyer : wanted level from baseline 1; level at 2.83 V read 1 Jun 2026: 61 dB with 0.283 V at the terminals.",
        "Switch the amplifier off and wait",
    ):
        assert expected in words, expected
    assert "Design tables" not in words


def test_accepting_freezes_a_design_and_shows_its_tables(browser: Browser, plan: FoldPlan) -> None:
    form = browser.get(page_of("fold-plan-accept", plan))
    assert "Switch the amplifier off and wait" in text_of(form)
    answer = browser.post(page_of("fold-plan-accept", plan), {"agreed": "The owner, by phone"})
    assert answer.headers["Location"] == page_of("fold-plan", plan)
    page = browser.get(page_of("fold-plan", plan))
    words = text_of(page)
    assert answer_of(page).startswith("Accepted, not wired yet. ")
    assert "tech: The owner, by phone" in words
    assert "As designed, not as built" in words
    for table in ("Equipment: 5 rows", "Zones: 9 rows", "Lines: 33 rows", "Settings: "):
        assert table in words
    assert "It is wired: put it into the register" in words


def test_an_acceptance_needs_to_say_who_agreed(browser: Browser, plan: FoldPlan) -> None:
    page = browser.post(page_of("fold-plan-accept", plan), {"agreed": ""})
    assert page.status_code == 422
    assert standing_now(plan).word == "proposed"


def test_a_change_of_the_wiring_is_said_and_takes_the_button_away(browser: Browser, plan: FoldPlan) -> None:
    Coil.objects.filter(loudspeaker__label="LS-01").update(cable_m=40.0)
    page = browser.get(page_of("fold-plan", plan))
    words = text_of(page)
    assert "The register has changed since this plan was computed (LS-01)" in words
    assert page_of("fold-plan-accept", plan) not in page.content.decode()
    refused = browser.post(page_of("fold-plan-accept", plan), {"agreed": "Owner"})
    assert refused.status_code == 422
    assert "compute it again" in text_of(refused)


def test_a_rejected_plan_stays_with_its_reason(browser: Browser, plan: FoldPlan, hall: Site) -> None:
    refused = browser.post(page_of("fold-plan-reject", plan), {"reason": " "})
    assert refused.status_code == 422
    browser.post(page_of("fold-plan-reject", plan), {"reason": "The café wants its own knob"})
    page = browser.get(page_of("fold-plan", plan))
    assert answer_of(page).startswith("Rejected. ")
    assert "The café wants its own knob" in text_of(page)
    listed = text_of(browser.get(reverse("fold-plans", args=[hall.code])))
    assert "1 plan kept, rejected ones too." in listed
    assert "The café wants its own knob" in listed


def test_the_whole_way_from_acceptance_into_the_register(browser: Browser, accepted: FoldPlan, hall: Site) -> None:
    planned = fitted_as(kept_of(accepted), acceptance_of(accepted))
    url = page_of("fold-plan-wired", accepted)
    preview = browser.get(url)
    words = text_of(preview)
    assert "Nothing is written yet." in answer_of(preview)
    assert "Only when it really is so." in words
    assert "place: Old amplifier → Amplifier 1" in words
    assert Line.objects.filter(amplifier__name="Old amplifier").count() == 9
    data = {f"b{number}-tag": f"MH-{number + 10}" for number in range(5)} | {"confirm": "1"}
    data |= {"b0-rack": str(hall.racks.get().pk), "b0-position_u": "3", "b0-serial": "A-1"}
    answer = browser.post(url, data)
    assert answer.headers["Location"] == page_of("fold-plan", accepted)
    now = {(line["amplifier"], line["channel"]): line["impedance_ohm"] for line in check_site(hall)["lines"]}
    assert now == {
        (line.place, line.channel): pytest.approx(load.impedance_ohm)
        for line, load in zip(planned.design.lines, planned.loads, strict=True)
    }
    assert Place.objects.get(site=hall, name="Amplifier 1").position_u == 3
    assert set(Item.objects.filter(site=hall).values_list("tag", flat=True)) == {
        "MH-1",
        *(f"MH-{n}" for n in range(10, 15)),
    }
    page = browser.get(page_of("fold-plan", accepted))
    assert answer_of(page).startswith("Wired and in the register. ")
    again = browser.get(url, follow=True)
    assert "Plan 1 is wired: only an accepted one is put into the register." in text_of(again)


def test_a_taken_rack_unit_and_a_missing_tag_have_their_remark_beside_the_field(
    browser: Browser, accepted: FoldPlan, hall: Site
) -> None:
    url = page_of("fold-plan-wired", accepted)
    data = {f"b{number}-tag": f"MH-{number + 10}" for number in range(5)} | {"confirm": "1"}
    data |= {"b1-rack": str(hall.racks.get().pk), "b1-position_u": "11"}
    page = browser.post(url, data)
    body = page.content.decode()
    assert page.status_code == 422
    assert re.search(r'id="id_b1-position_u_error">unit 11 of rack Rack A is already taken by Old amplifier\.', body)
    assert 'name="b1-tag" value="MH-11"' in body
    page = browser.post(url, {**data, "b2-tag": ""})
    assert page.status_code == 422
    assert 'id="id_b2-tag_error"' in page.content.decode()
    assert not Place.objects.filter(site=hall, name="Amplifier 1").exists()


def test_looking_again_writes_nothing(browser: Browser, accepted: FoldPlan, hall: Site) -> None:
    data = {f"b{number}-tag": f"MH-{number + 10}" for number in range(5)} | {"look": "1"}
    page = browser.post(page_of("fold-plan-wired", accepted), data)
    assert page.status_code == 200
    assert not Place.objects.filter(site=hall, name="Amplifier 1").exists()
    assert standing_now(accepted).word == "accepted"


def test_the_downloaded_tables_import_as_a_survey(browser: Browser, accepted: FoldPlan, tech: User) -> None:
    answer = browser.get(page_of("fold-plan-survey", accepted))
    assert answer.headers["Content-Disposition"] == 'attachment; filename="millrace-plan-1.zip"'
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert sorted(archive.namelist()) == [
            f"millrace-plan-1/{name}.csv" for name in ("equipment", "lines", "settings", "zones")
        ]
    tried = import_survey(files_of_zip(answer.content, most_bytes=10**6), by=tech, dry_run=True)
    assert tried.new > 0
    assert browser.get(page_of("fold-plan-survey", accepted)).content == answer.content


def test_only_an_accepted_plan_has_tables(browser: Browser, plan: FoldPlan) -> None:
    assert browser.get(page_of("fold-plan-survey", plan)).status_code == 404


def test_the_wiring_sheet_lists_every_conductor_draws_jumpers_and_warns(browser: Browser, accepted: FoldPlan) -> None:
    page = browser.get(page_of("fold-plan-wiring", accepted))
    words, body = text_of(page), page.content.decode()
    coils = sum(1 for _ in kept_of(accepted).coils)
    assert f"{2 * coils} conductors" in answer_of(page)
    for expected in (
        "Measure each line before connecting it.",
        "Mains inside.",
        "LS-01 plus, red",
        "Old amplifier, channel 1, +",
    ):
        assert expected in words
    jumpers = int(re.search(r"(\d+) jumpers", answer_of(page))[1])  # type: ignore[index]
    assert body.count('data-jumper="yes"') == 2 * jumpers  # a drawing for a desk and one for a phone
    assert words.count("jumper: minus of") == jumpers


def test_the_sheet_of_a_plan_that_is_not_accepted_says_not_to_wire_it(browser: Browser, plan: FoldPlan) -> None:
    assert "Not accepted: do not wire this." in text_of(browser.get(page_of("fold-plan-wiring", plan)))


def test_two_plans_are_compared_side_by_side(browser: Browser, plan: FoldPlan, hall: Site, tech: User) -> None:
    url = reverse("fold-plan-compare", args=[hall.code])
    assert answer_of(browser.get(url)) == "There are not two kept plans to compare yet."
    kept = kept_for(hall, requested(hall, ["Foyer", "Shop"], tolerance_db=4.6))
    other = keep_plan(by=tech, site=hall, title="Two only", kept=kept, inputs="")
    reject_plan(by=tech, plan=other, reason="Too little")
    page = browser.get(url)
    words = text_of(page)
    assert heading_of(page) == "Plan 1 and plan 2"
    assert "Too little" in words
    assert "Lead wall" in words
    assert "not in this plan" in words
    turned = browser.get(url, {"a": "2", "b": "1"})
    assert heading_of(turned) == "Plan 2 and plan 1"
    assert browser.get(url, {"a": "99", "b": "x"}).status_code == 200


def test_the_site_says_what_is_designed_and_who_hears_what(browser: Browser, accepted: FoldPlan, hall: Site) -> None:
    words = text_of(browser.get(reverse("site", args=[hall.code])))
    assert "As designed: plan 1, Five for nine" in words
    assert "The level of Old amplifier moves only" in words
    # The old amplifier's input is named like the stream of the house; two zones are meant to hear another one.
    assert (
        "Training room can't hear its source: it is meant to play Stream 2, and Old amplifier plays Stream 1." in words
    )


READ = ("fold-plan-new", "fold-plans", "fold-plan-compare", "fold-plan", "fold-plan-wiring", "fold-plan-survey")
WRITE = ("fold-plan-keep", "fold-plan-accept", "fold-plan-reject", "fold-plan-wired")
OF_SITE = ("fold-plan-new", "fold-plans", "fold-plan-compare", "fold-plan-keep")


def address(name: str, plan: FoldPlan) -> str:
    return reverse(name, args=[plan.site.code if name in OF_SITE else plan.pk])


def test_every_route_of_fold_plans_is_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns if isinstance(pattern, URLPattern)} == {*READ, *WRITE}


@pytest.mark.parametrize("name", READ + WRITE)
def test_who_may_do_what(
    name: str, accepted: FoldPlan, hall_owner: User, stranger: User, tech: User, sign_in: SignIn
) -> None:
    url = address(name, accepted)
    door = Browser().get(url)
    assert (door.status_code, door.headers["Location"]) == (302, f"{reverse('sign-in')}?next={url}")
    nobody = sign_in(stranger)
    assert nobody.get(url).status_code in {404, 405}
    assert nobody.post(url, {}).status_code in {404, 405, 403}
    if name not in READ:
        assert nobody.post(url, {}).status_code == 404
        assert sign_in(hall_owner).post(url, {}).status_code == 403
    else:
        assert sign_in(hall_owner).get(url).status_code == 200
    expected = 405 if name == "fold-plan-keep" else 200
    assert sign_in(tech).get(url).status_code == expected


def test_an_owner_is_offered_no_decision(hall_owner: User, accepted: FoldPlan, sign_in: SignIn) -> None:
    body = sign_in(hall_owner).get(page_of("fold-plan", accepted)).content.decode()
    for name in WRITE[1:]:
        assert page_of(name, accepted) not in body


def test_pages_cost_the_same_number_of_queries_with_more_plans(
    browser: Browser, plan: FoldPlan, hall: Site, tech: User
) -> None:
    urls = [reverse("fold-plans", args=[hall.code]), page_of("fold-plan", plan), page_of("fold-plan-wiring", plan)]
    urls += [reverse("fold-plan-new", args=[hall.code]), reverse("site", args=[hall.code])]
    accept_plan(by=tech, plan=plan, agreed="Owner")
    before = [queries_of(browser, url) for url in urls]
    for number in range(2):
        kept = kept_for(hall, requested(hall, ["Foyer", "Shop"], tolerance_db=4.6))
        other = keep_plan(by=tech, site=hall, title=f"Other {number}", kept=kept, inputs="")
        reject_plan(by=tech, plan=other, reason="No")
    assert [queries_of(browser, url) for url in urls] == before
    compare = reverse("fold-plan-compare", args=[hall.code])
    three = queries_of(browser, compare)
    keep_plan(by=tech, site=hall, title="One more", kept=kept, inputs="")
    assert queries_of(browser, compare) == three
