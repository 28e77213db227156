"""A wrong configuration record is corrected by a new one; both stay, one counts."""

from datetime import UTC, datetime

import pytest

from registry.demo.factories import ConfigurationRecordFactory, SettingFactory, UserFactory
from registry.equipment.actions import record_settings
from registry.equipment.correcting import correct_record
from registry.equipment.models import ConfigurationRecord, Setting
from registry.equipment.queries import settings_now
from registry.exchange.importing import import_survey
from sites.put import Batch, RefusedError
from tests.exchange.small_survey import edited, survey

pytestmark = pytest.mark.django_db


def record_of(**settings: str) -> ConfigurationRecord:
    record: ConfigurationRecord = ConfigurationRecordFactory()
    for key, value in settings.items():
        SettingFactory(record=record, key=key, value=value, unit="")
    return record


def now_of(record: ConfigurationRecord) -> dict[str, str]:
    return {key: each.shown for key, each in settings_now([record.place]).get(record.place_id, {}).items()}


def test_the_correction_counts_and_the_wrong_one_stays() -> None:
    record, by = record_of(bass="-2", source="Stream 1", cap="60"), UserFactory()
    made = correct_record(by=by, record=record, settings={"bass": ("2", "dB"), "source": ("Stream 1", "")})
    kept = ("place_id", "item_id", "state", "taken_at")
    assert [getattr(made, name) for name in kept] == [getattr(record, name) for name in kept]
    assert (made.replaces, made.recorded_by) == (record, by)
    # A setting that is left out was not read.
    assert now_of(record) == {"bass": "2 dB", "source": "Stream 1"}
    assert set(Setting.objects.filter(record=record).values_list("value", flat=True)) == {"-2", "Stream 1", "60"}


def test_what_was_corrected_is_not_corrected_again() -> None:
    record, by = record_of(bass="-2"), UserFactory()
    first = correct_record(by=by, record=record, settings={"bass": ("2", "")})
    with pytest.raises(ValueError, match="corrected already: correct the newer one"):
        correct_record(by=by, record=ConfigurationRecord.objects.get(pk=record.pk), settings={"bass": ("3", "")})
    correct_record(by=by, record=first, settings={"bass": ("3", "")})
    assert now_of(record) == {"bass": "3"}


@pytest.mark.parametrize(
    ("settings", "says"), [({}, "type at least one value"), ({"bass": ("-2", "")}, "nothing differs")]
)
def test_a_correction_says_something_else(settings: dict[str, tuple[str, str]], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        correct_record(by=UserFactory(), record=record_of(bass="-2"), settings=settings)
    assert ConfigurationRecord.objects.count() == 1


def test_a_survey_with_the_wrong_record_or_with_the_corrected_one_changes_nothing() -> None:
    import_survey(survey(), by=None)
    record = ConfigurationRecord.objects.get()
    read = {setting.key: (setting.value, setting.unit) for setting in record.settings.all()}
    correct_record(by=UserFactory(), record=record, settings=read | {"bass": ("2", "dB")})
    for files in (survey(), edited("settings", "bass,-2,dB", "bass,2,dB")):
        import_survey(files, by=None)
        assert ConfigurationRecord.objects.count() == 2
        assert now_of(record)["bass"] == "2 dB"


def test_a_third_value_for_the_same_time_is_refused() -> None:
    record = record_of(bass="-2")
    correct_record(by=UserFactory(), record=record, settings={"bass": ("2", "")})
    row = {"item_id": None, "settings": {"bass": ("9", "")}}
    with pytest.raises(RefusedError, match="recorded 2 at that time"):
        record_settings(Batch(by=None), {(record.place_id, record.state, record.taken_at): row})
    later = datetime(2030, 1, 1, tzinfo=UTC)
    record_settings(Batch(by=None), {(record.place_id, record.state, later): row})
    assert now_of(record) == {"bass": "9"}
