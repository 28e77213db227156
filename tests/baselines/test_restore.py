"""A restore follows the sheet, locks as found, and leaves as-found and as-left records behind."""

from typing import Any

import pytest

from registry.audio.models import Line, Zone
from registry.baselines.actions import correct_reading, freeze_baseline
from registry.baselines.models import Baseline, Reading, Restore
from registry.baselines.restore_sheet import Stage, stage_of
from registry.baselines.restoring import (
    open_steps,
    record_restore_reading,
    record_step,
    sheet_of,
    sign_restore,
    start_restore,
)
from registry.equipment.models import ConfigurationRecord, State
from sites.models import Site, User, YesNoUnknown

pytestmark = pytest.mark.django_db
LEVEL: dict[str, Any] = {"level_db": 64.0, "background_db": 45.0, "meter": "Meter A", "meter_class": "2"}


@pytest.fixture
def baseline(site: Site, tech: User) -> Baseline:
    return freeze_baseline(by=tech, site=site, reason="Commissioning")


@pytest.fixture
def restore(baseline: Baseline, tech: User) -> Restore:
    return start_restore(by=tech, baseline=baseline)


def test_the_sheet_is_in_working_order(baseline: Baseline) -> None:
    groups = sheet_of(baseline)
    assert [(group.subject, group.name) for group in groups] == [
        ("before", "Before you change anything"),
        ("place", "Amplifier 1"),
        ("zone", "Shop"),
        ("zone", "Yard"),
    ]
    assert (groups[0].zones, groups[0].steps) == (("Shop", "Yard"), ())
    assert [step.setting for step in groups[1].steps] == ["source", "bass"]
    assert [step.setting for step in groups[2].steps] == ["source", "cap", "dial", "level"]
    assert all(list(group.steps) == sorted(group.steps, key=lambda step: step.stage) for group in groups)


@pytest.mark.parametrize(
    ("setting", "stage"),
    [
        ("input selected", Stage.SOURCE),
        ("content mode", Stage.MODE),
        ("bass", Stage.TONE),
        ("high-pass", Stage.TONE),
        ("cap", Stage.CAP),
        ("volume", Stage.DIAL),
        ("standby", Stage.OTHER),
    ],
)
def test_a_setting_is_restored_at_its_stage(setting: str, stage: Stage) -> None:
    assert stage_of(setting) == stage


@pytest.mark.parametrize("flag", [YesNoUnknown.YES, YesNoUnknown.UNKNOWN])
def test_no_step_is_offered_where_life_safety_may_be_touched(baseline: Baseline, flag: YesNoUnknown) -> None:
    Line.objects.filter(name="L1").update(life_safety=flag)
    groups = {group.name: group for group in sheet_of(baseline)}
    assert groups["Shop"].steps == ()
    assert "life-safety" in groups["Shop"].excluded
    assert groups["Amplifier 1"].steps == ()
    assert groups["Yard"].steps == ()
    assert "needs Amplifier 1, which is excluded" in groups["Yard"].excluded
    assert "Before you change anything" not in groups


def test_two_techs_share_the_open_restore(restore: Restore, baseline: Baseline, tech: User) -> None:
    assert start_restore(by=tech, baseline=baseline) == restore


def test_as_found_is_locked_once_as_left_is_entered(restore: Restore, tech: User) -> None:
    shop = Zone.objects.get(name="Shop")
    record_restore_reading(by=tech, restore=restore, zone=shop, state=State.AS_FOUND, values=LEVEL)
    record_restore_reading(by=tech, restore=restore, zone=shop, state=State.AS_LEFT, values=LEVEL | {"level_db": 62.5})
    with pytest.raises(ValueError, match="as found is locked"):
        record_restore_reading(by=tech, restore=restore, zone=shop, state=State.AS_FOUND, values=LEVEL)


def test_a_step_that_is_not_on_the_sheet_and_a_contradiction_are_refused(restore: Restore, tech: User) -> None:
    with pytest.raises(ValueError, match="not a step"):
        record_step(by=tech, restore=restore, key="place:Amplifier 9:bass", done=True)
    with pytest.raises(ValueError, match="either the step is done"):
        record_step(by=tech, restore=restore, key="place:Amplifier 1:bass", done=True, could_not="locked")


def test_signing_asks_for_a_name_and_for_every_step(restore: Restore, tech: User) -> None:
    with pytest.raises(ValueError, match="sign with your name"):
        sign_restore(by=tech, restore=restore, signature=" ", with_open_steps=True)
    with pytest.raises(ValueError, match="open steps: Amplifier 1: source; Amplifier 1: bass; Shop: source"):
        sign_restore(by=tech, restore=restore, signature="T. Tech")


def test_a_signed_restore_leaves_records_and_is_closed(restore: Restore, tech: User) -> None:
    record_step(by=tech, restore=restore, key="place:Amplifier 1:bass", found="-6 dB", done=True)
    record_step(by=tech, restore=restore, key="place:Amplifier 1:source", found="Line in", could_not="stream is down")
    for zone in Zone.objects.all():
        record_restore_reading(by=tech, restore=restore, zone=zone, state=State.AS_LEFT, values=LEVEL)
    for name in ("Shop", "Yard"):
        for setting in ("source", "cap", "dial"):
            record_step(by=tech, restore=restore, key=f"zone:{name}:{setting}", done=True)
    assert open_steps(restore) == []
    signed = sign_restore(by=tech, restore=restore, signature="T. Tech", remarks="Stream to follow")
    assert (signed.signature, signed.is_open) == ("T. Tech", False)
    found, left = ConfigurationRecord.objects.filter(recorded_by=tech).order_by("taken_at")
    assert {s.key: (s.value, s.unit) for s in found.settings.all()} == {
        "bass": ("-6 dB", ""),
        "source": ("Line in", ""),
    }
    assert {s.key: (s.value, s.unit) for s in left.settings.all()} == {"bass": ("-2", "dB"), "source": ("Line in", "")}
    assert (found.state, left.state) == (State.AS_FOUND, State.AS_LEFT)
    with pytest.raises(ValueError, match="signed and closed"):
        record_step(by=tech, restore=restore, key="place:Amplifier 1:bass", done=True)
    with pytest.raises(ValueError, match="signed and closed"):
        sign_restore(by=tech, restore=restore, signature="T. Tech")


def test_a_correction_names_what_it_replaces_and_counts_instead(baseline: Baseline, tech: User) -> None:
    wrong = Reading.objects.get(zone__name="Shop")
    right = correct_reading(by=tech, reading=wrong, values={"level_db": 63.5})
    assert (right.replaces, right.taken_at, right.spot) == (wrong, wrong.taken_at, wrong.spot)
    assert Reading.objects.get(pk=wrong.pk).level_db == 62.5
    with pytest.raises(ValueError, match="corrected already"):
        correct_reading(by=tech, reading=Reading.objects.get(pk=wrong.pk), values={"level_db": 60.0})
