"""What the pages of an item and of a place have in common: settings now, records, and the difference of two."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from django.http import QueryDict

from registry.baselines.models import Baseline
from registry.equipment.comparing import SettingChange, changed_settings
from registry.equipment.models import ConfigurationRecord, Place
from registry.equipment.queries import settings_now


class SettingLine(NamedTuple):
    """One setting of a place: now, in the newest baseline, and the record that says what holds now."""

    key: str
    now: str | None
    baseline: str | None
    record: ConfigurationRecord | None

    @property
    def differs(self) -> bool:
        """Whether the baseline says something else."""
        return self.baseline is not None and self.now != self.baseline


class Difference(NamedTuple):
    """Two records and what they don't agree on."""

    before: ConfigurationRecord
    after: ConfigurationRecord
    changes: list[SettingChange]


def setting_lines(place: Place, baseline: Baseline | None) -> list[SettingLine]:
    """Return every setting of a place as it is now and as it was frozen. One query."""
    now = settings_now([place]).get(place.pk, {})
    frozen = _frozen(place, baseline)
    return [
        SettingLine(
            key,
            now[key].shown if key in now else None,
            frozen.get(key),
            now[key].record if key in now else None,
        )
        for key in sorted(now.keys() | frozen.keys())
    ]


def _frozen(place: Place, baseline: Baseline | None) -> dict[str, str]:
    content: dict[str, Any] = baseline.content["places"].get(place.name, {}) if baseline else {}
    return {key: " ".join(value).rstrip() for key, value in content.get("settings", {}).items()}


def picked_difference(records: Sequence[ConfigurationRecord], asked: QueryDict) -> Difference | None:
    """Return the difference of the two records that the address names with `a` and `b`, the older one first."""
    wanted = {asked.get("a"), asked.get("b")}
    picked = sorted(
        (record for record in records if str(record.pk) in wanted), key=lambda each: (each.taken_at, each.pk)
    )
    if len(picked) != 2:
        return None
    before, after = picked
    return Difference(before, after, changed_settings(before, after))


def settings_sentence(lines: Sequence[SettingLine], baseline: Baseline | None) -> str:
    """Return how the settings stand against the baseline."""
    if not any(line.now for line in lines):
        return "No settings are recorded."
    if baseline is None:
        return "There is no baseline to compare its settings with."
    off = sum(line.differs for line in lines)
    verb = "differs" if off == 1 else "differ"
    return (
        f"{off} setting{'' if off == 1 else 's'} {verb} from baseline {baseline.number}."
        if off
        else f"Its settings are as in baseline {baseline.number}."
    )
