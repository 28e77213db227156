"""A configuration record that was wrong: a new one takes its place, and the wrong one stays readable."""

from collections.abc import Mapping

from django.db import transaction

from registry.equipment.models import ConfigurationRecord, Setting
from sites.models import User
from sites.secret_scan import refuse_secret_settings


@transaction.atomic
def correct_record(
    *, by: User, record: ConfigurationRecord, settings: Mapping[str, tuple[str, str]]
) -> ConfigurationRecord:
    """Record all settings as they should have been written down: key to value and unit; a key left out wasn't read.

    Place, item, state and time stay. Raises ValueError when the record was corrected already (correct the
    correction), when nothing would be left of it, or when nothing differs.
    """
    if record.corrected_by():
        raise ValueError("this record was corrected already: correct the newer one")
    if not settings:
        raise ValueError("type at least one value: a record without one says nothing")
    refuse_secret_settings((record.place_id, record.state, record.taken_at), settings)
    if dict(settings) == {setting.key: (setting.value, setting.unit) for setting in record.settings.all()}:
        raise ValueError("nothing differs from what is recorded: change what was wrong")
    correction = ConfigurationRecord.objects.create(
        place=record.place,
        item=record.item,
        state=record.state,
        taken_at=record.taken_at,
        recorded_by=by,
        replaces=record,
    )
    Setting.objects.bulk_create(
        Setting(record=correction, key=key, value=value, unit=unit) for key, (value, unit) in sorted(settings.items())
    )
    return correction
