"""What is found as in the baseline is said with one press, without writing over what somebody else has said."""

import pytest

from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Restore, RestoreStep
from registry.baselines.restoring import (
    record_all_found_right,
    record_found_right,
    record_step,
    sign_restore,
    start_restore,
)
from registry.demo.factories import UserFactory
from registry.equipment.models import ConfigurationRecord
from sites.models import Role, Site, User

pytestmark = pytest.mark.django_db


@pytest.fixture
def restore(site: Site, tech: User) -> Restore:
    return start_restore(by=tech, baseline=freeze_baseline(by=tech, site=site, reason="Commissioning"))


def answers(restore: Restore) -> dict[str, tuple[str, bool, str]]:
    return {step.key: (step.found, step.done, step.could_not) for step in RestoreStep.objects.filter(restore=restore)}


def test_found_right_records_the_value_of_the_baseline_and_that_it_is_done(restore: Restore, tech: User) -> None:
    record_found_right(by=tech, restore=restore, key="place:Amplifier 1:bass")
    assert answers(restore) == {"place:Amplifier 1:bass": ("-2 dB", True, "")}
    with pytest.raises(ValueError, match="not a step"):
        record_found_right(by=tech, restore=restore, key="place:Amplifier 9:bass")


def test_what_was_typed_as_found_is_not_thrown_away(restore: Restore, tech: User) -> None:
    with pytest.raises(ValueError, match="found 6 dB is not -2 dB"):
        record_found_right(by=tech, restore=restore, key="place:Amplifier 1:bass", found="6 dB")
    assert answers(restore) == {}


def test_all_settings_of_a_zone_are_answered_at_once_and_its_level_is_left_to_be_read(
    restore: Restore, tech: User
) -> None:
    assert len(record_all_found_right(by=tech, restore=restore, subject="zone", name="Shop")) == 3
    assert answers(restore) == {
        "zone:Shop:source": ("Stream 1", True, ""),
        "zone:Shop:cap": ("60 %", True, ""),
        "zone:Shop:dial": ("50 %", True, ""),
    }


def test_what_somebody_else_answered_or_found_stays(restore: Restore, tech: User) -> None:
    other = UserFactory(role=Role.TECH)
    record_step(by=other, restore=restore, key="zone:Shop:cap", found="100 %", could_not="locked")
    record_step(by=other, restore=restore, key="zone:Shop:dial", found="80 %")
    record_all_found_right(by=tech, restore=restore, subject="zone", name="Shop")
    assert answers(restore) == {
        "zone:Shop:source": ("Stream 1", True, ""),
        "zone:Shop:cap": ("100 %", False, "locked"),
        "zone:Shop:dial": ("80 %", False, ""),
    }
    assert record_all_found_right(by=tech, restore=restore, subject="zone", name="Shop") == []


def test_what_is_not_on_the_sheet_and_what_is_signed_is_refused(restore: Restore, tech: User) -> None:
    with pytest.raises(ValueError, match="zone Cellar is not on this restore sheet"):
        record_all_found_right(by=tech, restore=restore, subject="zone", name="Cellar")
    sign_restore(by=tech, restore=restore, signature="T. Tech", with_open_steps=True)
    for record in (record_all_found_right, record_found_right):
        where = {"subject": "zone", "name": "Shop"} if record is record_all_found_right else {"key": "zone:Shop:cap"}
        with pytest.raises(ValueError, match="signed and closed"):
            record(by=tech, restore=restore, **where)  # type: ignore[operator]
    assert answers(restore) == {}


def test_a_setting_that_was_found_right_is_recorded_with_its_unit(restore: Restore, tech: User) -> None:
    record_all_found_right(by=tech, restore=restore, subject="place", name="Amplifier 1")
    sign_restore(by=tech, restore=restore, signature="T. Tech", with_open_steps=True)
    for record in ConfigurationRecord.objects.filter(recorded_by=tech):
        settings = {setting.key: (setting.value, setting.unit) for setting in record.settings.all()}
        assert settings == {"source": ("Stream 1", ""), "bass": ("-2", "dB")}
