"""As found is read before anything is changed, what is right is said with one press, a failing load is named."""

from copy import deepcopy

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Line, Verdict, Zone
from registry.baselines.models import Baseline, Restore, RestoreStep
from registry.baselines.restoring import start_restore
from registry.demo.factories import BaselineFactory, SettingFactory, UserFactory
from registry.equipment.models import ConfigurationRecord
from sites.models import User, YesNoUnknown
from tests.web.baselines.conftest import read, step
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, text_of


def address_of(restore: Restore) -> str:
    return reverse("restore", args=[restore.pk])


def group_of(browser: Browser, restore: Restore, **values: str) -> str:
    response = browser.post(reverse("restore-group", args=[restore.pk]), values)
    assert response.status_code == 302
    return str(response.headers["Location"])


def test_every_zone_is_read_as_found_before_the_first_setting(browser: Browser, restore: Restore) -> None:
    page = browser.get(address_of(restore)).content.decode()
    assert page.count(">Record as found<") == 2
    last_found, first_set = page.rindex(">Record as found<"), page.index(">Set to ")
    assert page.index("Before you change anything</h2>") < last_found < first_set < page.index(">Record as left<")


def test_a_reading_as_found_comes_back_to_the_first_stage_and_stands_in_its_zone_too(
    browser: Browser, restore: Restore, bar: Zone
) -> None:
    target = read(browser, restore, bar, "as found", level_db="67").headers["Location"]
    page = browser.get(target.split("#")[0])
    content = page.content.decode()
    anchor = target.split("#")[1]
    assert anchor.endswith("-as-found")
    assert content.count(f'id="{anchor}"') == 1
    assert content.index(f'id="{anchor}"') < content.index(">Set to ")
    assert text_of(page).count("67.0 dB(A), dial") == 2
    assert [work.zone.name for work in page.context["groups"][0].unread] == ["Hall"]
    assert "1 to read" in text_of(page)


def test_one_press_answers_what_is_open_in_a_place(browser: Browser, restore: Restore) -> None:
    assert "Answers the 2 settings below" in text_of(browser.get(address_of(restore)))
    target = group_of(browser, restore, subject="place", name="Amplifier 1")
    page = browser.get(target.split("#")[0])
    assert f'id="{target.split("#")[1]}"' in page.content.decode()
    assert answer_of(page).startswith("2 of 10 steps answered.")
    assert "Set. Found -2 dB. tech," in text_of(page)


def test_a_group_that_is_not_on_the_sheet_is_refused_in_words(browser: Browser, restore: Restore) -> None:
    target = group_of(browser, restore, subject="zone", name="Cellar")
    assert "Nothing was recorded: zone Cellar is not on this restore sheet." in text_of(browser.get(target))
    assert browser.get(reverse("restore-group", args=[restore.pk])).headers["Location"] == address_of(restore)


def test_an_owner_may_not_answer_a_group(restore: Restore, owner: User, stranger: User, sign_in: SignIn) -> None:
    values = {"subject": "zone", "name": "Bar"}
    address = reverse("restore-group", args=[restore.pk])
    assert sign_in(owner).post(address, values).status_code == 403
    assert sign_in(stranger).post(address, values).status_code == 404
    assert not RestoreStep.objects.exists()


def test_found_right_is_one_press_and_refuses_another_value_that_was_typed(browser: Browser, restore: Restore) -> None:
    refused = step(browser, restore, "place:Amplifier 1:bass", "right", found="6 dB")
    assert refused.status_code == 422
    assert "found 6 dB is not -2 dB" in text_of(refused)
    step(browser, restore, "place:Amplifier 1:bass", "right")
    recorded = RestoreStep.objects.get()
    assert (recorded.found, recorded.done) == ("-2 dB", True)


@pytest.mark.parametrize("address", ["restore", "restore-sheet"])
def test_a_line_whose_load_fails_now_is_named_with_the_decision_that_it_needs(
    browser: Browser, restore: Restore, line: Line, address: str
) -> None:
    where = reverse(address, args=[restore.pk if address == "restore" else restore.baseline_id])
    assert "A decision is needed" not in text_of(browser.get(where))
    Line.objects.filter(pk=line.pk).update(verdict=Verdict.FAIL)
    words = text_of(browser.get(where))
    assert "Line Bar line: An amplifier can overheat or fail on a load that it may not drive." in words
    assert "Don't switch it on with this load. A decision is needed before it is switched on." in words
    groups = {group.group.name: group.cautions for group in browser.get(address_of(restore)).context["groups"]}
    assert {name for name, said in groups.items() if any("Bar line" in each for each in said)} == {"Amplifier 1", "Bar"}


def test_a_failing_load_is_named_also_where_nothing_is_to_be_altered(
    browser: Browser, restore: Restore, line: Line
) -> None:
    Line.objects.filter(pk=line.pk).update(verdict=Verdict.FAIL, life_safety=YesNoUnknown.UNKNOWN)
    groups = {group.group.name: group for group in browser.get(address_of(restore)).context["groups"]}
    for name in ("Amplifier 1", "Bar"):
        assert groups[name].group.excluded
        assert [said.split(":")[0] for said in groups[name].cautions] == ["Line Bar line"]
    words = text_of(browser.get(reverse("restore-sheet", args=[restore.baseline_id])))
    assert words.count("A decision is needed before it is switched on.") == 1


def test_an_amplifier_with_a_volume_says_once_to_turn_the_dial_down_first(browser: Browser, line: Line) -> None:
    record = ConfigurationRecord.objects.get()
    SettingFactory(record=record, key="channel 1 volume", value="50", unit="%")
    SettingFactory(record=record, key="channel 1 cap", value="60", unit="%")
    restore = start_restore(by=UserFactory(), baseline=BaselineFactory(site=line.site))
    groups = {group.group.name: group for group in browser.get(address_of(restore)).context["groups"]}
    assert sum("Turn the dial down" in said for said in groups["Amplifier 1"].cautions) == 1


def test_the_head_says_how_to_get_in_and_whom_to_call(browser: Browser, restore: Restore) -> None:
    site = restore.site
    site.access_notes, site.client.phone = "Key at the till", "+1 555 0100"
    site.save()
    site.client.save()
    words = text_of(browser.get(address_of(restore)))
    assert "Access: Key at the till" in words
    assert "North Ltd: +1 555 0100" in words
    assert words.index("Key at the till") < words.index("Before you change anything")


def test_a_baseline_from_before_addresses_were_frozen_still_shows_everywhere(
    browser: Browser, restore: Restore
) -> None:
    older = deepcopy(restore.baseline.content)
    for place in older["places"].values():
        for key in ("rack", "position_u", "ip", "hostname"):
            del place[key]
    # A frozen copy can't be changed: one is put beside it as an older version of the register wrote it.
    baseline = Baseline.objects.create(
        site=restore.site, number=2, reason="Old", author=restore.started_by, frozen_at=timezone.now(), content=older
    )
    restore.baseline = baseline
    restore.save()
    for address in (
        address_of(restore),
        reverse("baseline", args=[baseline.pk]),
        reverse("restore-sheet", args=[baseline.pk]),
        reverse("restore-sheet-pdf", args=[baseline.pk]),
        reverse("baseline-freeze", args=[restore.site.code]),
    ):
        assert browser.get(address).status_code == 200, address
    compare = browser.get(reverse("baseline-compare", args=[restore.site.code]))
    assert answer_of(compare) == "Nothing differs."
