"""The difference between two configuration records."""

from typing import NamedTuple

from registry.equipment.models import ConfigurationRecord


class SettingChange(NamedTuple):
    """One setting that two records don't agree on; None where a record doesn't hold it."""

    key: str
    before: str | None
    after: str | None


def changed_settings(before: ConfigurationRecord, after: ConfigurationRecord) -> list[SettingChange]:
    """Return what differs between two records, by key. A setting that one of them lacks was not recorded there."""
    old, new = _shown(before), _shown(after)
    return [
        SettingChange(key, old.get(key), new.get(key))
        for key in sorted(old.keys() | new.keys())
        if old.get(key) != new.get(key)
    ]


def _shown(record: ConfigurationRecord) -> dict[str, str]:
    return {setting.key: f"{setting.value} {setting.unit}".rstrip() for setting in record.settings.all()}
