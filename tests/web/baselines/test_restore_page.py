"""A restore in one hand: each step is a small form that comes back to its place, the verdict follows the reading."""

import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.baselines.models import Baseline, Reading, Restore, RestoreStep
from registry.demo.factories import BaselineFactory, UserFactory
from registry.equipment.models import ConfigurationRecord, State
from sites.models import Site, User, YesNoUnknown
from tests.web.baselines.conftest import read, step
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, text_of


def address_of(restore: Restore) -> str:
    return reverse("restore", args=[restore.pk])


def test_starting_is_a_post_and_two_techs_share_one_sheet(
    browser: Browser, baseline: Baseline, sign_in: SignIn
) -> None:
    address = reverse("restore-start", args=[baseline.pk])
    assert browser.get(address).headers["Location"] == reverse("baseline", args=[baseline.pk])
    assert not Restore.objects.exists()
    first = browser.post(address).headers["Location"]
    assert sign_in(UserFactory(username="second")).post(address).headers["Location"] == first
    assert Restore.objects.count() == 1


def test_an_open_restore_to_another_baseline_is_said_and_joined(browser: Browser, restore: Restore, site: Site) -> None:
    newer = BaselineFactory(site=site)
    page = browser.post(reverse("restore-start", args=[newer.pk]), follow=True)
    assert page.redirect_chain[-1][0] == address_of(restore)
    assert "A restore to baseline 1 is open here. Sign it before you start another." in text_of(page)


def test_the_steps_stand_in_working_order_with_cautions(browser: Browser, restore: Restore) -> None:
    page = browser.get(address_of(restore))
    shown = [(group.group.name, [row.step.setting for row in group.rows]) for group in page.context["groups"]]
    assert shown == [
        ("Before you change anything", []),
        ("Amplifier 1", ["source", "bass"]),
        ("Bar", ["source", "cap", "dial"]),
        ("Hall", ["source", "cap", "dial"]),
    ]
    assert answer_of(page).startswith("0 of 10 steps answered. Zones: 2 not measured yet.")
    words = text_of(page)
    assert words.index("Caution. Mains inside.") < words.index("Set to -2 dB")


def test_a_step_is_set_and_comes_back_to_its_place(browser: Browser, restore: Restore) -> None:
    response = step(browser, restore, "place:Amplifier 1:bass", "set", found="6 dB")
    target = response.headers["Location"]
    page = browser.get(target.split("#")[0])
    assert f'id="{target.split("#")[1]}"' in page.content.decode()
    assert answer_of(page).startswith("1 of 10 steps answered.")
    assert "Set. Found 6 dB. tech," in text_of(page)
    recorded = RestoreStep.objects.get()
    assert (recorded.found, recorded.done, recorded.could_not) == ("6 dB", True, "")


def test_what_could_not_be_set_needs_a_reason_and_keeps_what_was_typed(browser: Browser, restore: Restore) -> None:
    refused = step(browser, restore, "place:Amplifier 1:bass", "could-not", found="6 dB")
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "Say why it could not be set." in page
    assert 'name="found" value="6 dB"' in page
    assert not RestoreStep.objects.exists()
    step(browser, restore, "place:Amplifier 1:bass", "could-not", could_not="The menu is locked")
    page = browser.get(address_of(restore))
    assert "Could not be set: The menu is locked" in text_of(page)
    assert "1 could not be set" in answer_of(page)


def test_what_was_found_is_saved_and_the_step_stays_open(browser: Browser, restore: Restore) -> None:
    step(browser, restore, "zone:Bar:cap", "open", found="100")
    page = browser.get(address_of(restore))
    assert answer_of(page).startswith("0 of 10 steps answered.")
    assert 'name="found" value="100"' in page.content.decode()


def test_a_second_tech_does_not_overwrite_what_they_have_not_seen(
    browser: Browser, restore: Restore, sign_in: SignIn
) -> None:
    values = {"key": "place:Amplifier 1:bass", "seen": "", "found": "", "could_not": ""}
    step(browser, restore, "place:Amplifier 1:bass", "open", found="6 dB")
    step(browser, restore, "place:Amplifier 1:bass", "set", found="6 dB")
    second = sign_in(UserFactory(username="second"))
    stale = RestoreStep.objects.get().version.replace("+00:00", "+01:00")
    refused = second.post(
        reverse("restore-step", args=[restore.pk]),
        values | {"seen": stale, "answer": "could-not", "could_not": "locked"},
    )
    assert refused.status_code == 422
    assert "tech answered this step meanwhile (set, found 6 dB): look, then save again" in text_of(refused)
    assert RestoreStep.objects.get().done


def test_every_field_on_the_page_has_an_id_of_its_own(browser: Browser, restore: Restore) -> None:
    page = browser.get(address_of(restore)).content.decode()
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    labels = re.findall(r'<label for="([^"]+)"', page)
    assert set(labels) <= set(ids)


def test_meter_and_track_come_from_the_baseline_and_dial_and_cap_only_once_they_are_set(
    browser: Browser, restore: Restore
) -> None:
    work = browser.get(address_of(restore)).context["zones"][0]
    filled = {name: work.found_form[name].value() for name in ("meter", "meter_class", "spot", "dial", "cap")}
    assert filled == {"meter": "Meter A", "meter_class": "2", "spot": "P1 by the till", "dial": None, "cap": None}
    step(browser, restore, "zone:Bar:dial", "set")
    step(browser, restore, "zone:Bar:cap", "could-not", found="100 %", could_not="The menu is locked")
    work = browser.get(address_of(restore)).context["zones"][0]
    # Nobody saw a cap of 60: it stands on 100, and only the tech can say so.
    assert [work.left_form[name].value() for name in ("dial", "cap", "level_db")] == [50.0, None, None]


@pytest.mark.parametrize(
    ("level_db", "verdict"), [("62.3", "Within tolerance"), ("55", "Out of tolerance"), ("60.4", "Undecided")]
)
def test_the_verdict_stands_right_after_the_reading(
    browser: Browser, restore: Restore, bar: Zone, level_db: str, verdict: str
) -> None:
    response = read(browser, restore, bar, "as left", level_db=level_db)
    target = response.headers["Location"]
    assert target.endswith("-as-left")
    page = browser.get(target.split("#")[0]).content.decode()
    after = page[page.index(f'id="{target.split("#")[1]}"') :]
    assert verdict in after[:1200]
    assert 'class="drawing level-strip"' in after


def test_a_wrong_level_stands_beside_its_field_and_stays(browser: Browser, restore: Restore, bar: Zone) -> None:
    refused = read(browser, restore, bar, "as found", level_db="58,2", dial="30")
    assert refused.status_code == 422
    form = refused.context["zones"][0].found_form
    assert list(form.errors) == ["level_db"]
    assert (form["level_db"].value(), form["dial"].value()) == ("58,2", "30")
    assert refused.context["zones"][1].found_form.errors == {}
    assert Reading.objects.filter(restore=restore).count() == 0


def test_as_found_is_locked_once_as_left_is_entered(browser: Browser, restore: Restore, bar: Zone) -> None:
    read(browser, restore, bar, "as left")
    page = browser.get(address_of(restore)).content.decode()
    assert "It is locked, because an as-left level is entered." in page
    refused = read(browser, restore, bar, "as found")
    assert refused.status_code == 422
    assert Reading.objects.filter(restore=restore, state=State.AS_FOUND).count() == 0


def test_a_loud_zone_is_cautioned_about(browser: Browser, restore: Restore, bar: Zone) -> None:
    read(browser, restore, bar, "as found", level_db="84")
    assert "80 dB(A) or more: staff exposure may need assessment" in text_of(browser.get(address_of(restore)))


def test_signing_with_open_steps_needs_a_tick_and_then_nothing_can_be_changed(
    browser: Browser, restore: Restore, bar: Zone
) -> None:
    step(browser, restore, "place:Amplifier 1:bass", "set", found="6 dB")
    read(browser, restore, bar, "as left")
    address = reverse("restore-sign", args=[restore.pk])
    assert "8 steps are open" in text_of(browser.get(address_of(restore)))
    refused = browser.post(address, {"signature": "T. Tech", "remarks": "No stream"})
    assert refused.status_code == 422
    assert "Not signed: answer the open steps, or tick that you sign with them open." in text_of(refused)
    assert refused.context["sign"]["remarks"].value() == "No stream"
    assert browser.post(address, {"signature": "", "with_open_steps": "on"}).status_code == 422
    signed = browser.post(address, {"signature": "T. Tech", "with_open_steps": "on"}, follow=True)
    assert answer_of(signed).startswith("Signed by T. Tech on")
    assert '<form method="post" action="/restores/' not in signed.content.decode()
    assert ConfigurationRecord.objects.filter(recorded_by__username="tech").count() == 2
    late = browser.post(
        reverse("restore-step", args=[restore.pk]), {"key": "zone:Bar:cap", "answer": "set"}, follow=True
    )
    assert "This restore was signed meanwhile, so nothing more was recorded." in text_of(late)
    assert RestoreStep.objects.count() == 1


def test_a_zone_whose_line_may_serve_life_safety_gets_no_step(browser: Browser, restore: Restore, line: Line) -> None:
    line.life_safety = YesNoUnknown.UNKNOWN
    line.save()
    page = browser.get(address_of(restore))
    excluded = {group.group.name: bool(group.group.excluded) for group in page.context["groups"][1:]}
    assert excluded == {"Amplifier 1": True, "Bar": True, "Hall": False}
    refused = browser.post(
        reverse("restore-step", args=[restore.pk]), {"key": "place:Amplifier 1:bass", "answer": "set"}
    )
    assert refused.status_code == 422
    assert not RestoreStep.objects.exists()


def test_a_zone_that_the_register_no_longer_knows_by_its_name_is_said_so(
    browser: Browser, restore: Restore, hall: Zone
) -> None:
    hall.name = "Great hall"
    hall.save()
    assert "The register has no zone of this name any more" in text_of(browser.get(address_of(restore)))


def test_an_owner_looks_on_without_buttons(restore: Restore, owner: User, sign_in: SignIn) -> None:
    page = sign_in(owner).get(address_of(restore))
    assert "Set to" not in text_of(page)
    assert "Your account can read this, but not change it." in text_of(page)


def test_going_to_a_form_address_leads_to_the_page(browser: Browser, restore: Restore) -> None:
    for name in ("restore-step", "restore-reading", "restore-sign"):
        assert browser.get(reverse(name, args=[restore.pk])).headers["Location"] == address_of(restore)


def test_what_was_signed_stays_readable_when_a_line_is_flagged_later(
    browser: Browser, restore: Restore, line: Line
) -> None:
    step(browser, restore, "place:Amplifier 1:bass", "set", found="6 dB")
    browser.post(reverse("restore-sign", args=[restore.pk]), {"signature": "T. Tech", "with_open_steps": "on"})
    line.life_safety = YesNoUnknown.YES
    line.save()
    page = browser.get(address_of(restore))
    assert answer_of(page).endswith("1 of 10 steps answered. Zones: 2 not measured yet.")
    assert "Set. Found 6 dB." in text_of(page)


def test_a_reading_for_a_zone_of_another_site_is_404(restore: Restore, browser: Browser) -> None:
    for zone in ("", "x", "999999", "9" * 40):
        response = browser.post(reverse("restore-reading", args=[restore.pk]), {"zone": zone, "state": "as left"})
        assert response.status_code == 404
