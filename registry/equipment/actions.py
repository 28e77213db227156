"""Writes of the catalogue and of settings. Places and the items that fill them are in filling.py."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from registry.equipment.models import ConfigurationRecord, LoudspeakerSpec, Make, MakeModel, Rating, Setting
from sites.put import Batch, Key, Problem, RefusedError, put, put_facts
from sites.secret_scan import refuse_secret_settings

Rows = Mapping[Key, Mapping[str, Any]]


@transaction.atomic
def put_models(batch: Batch, rows: Rows) -> dict[Key, MakeModel]:
    """Create or update catalogue entries by (make name, model name); makes are made as needed."""
    makes = put_makes(batch, {key[0] for key in rows})
    keyed = {(makes[key[0]].pk, key[1]): {**values, "make_id": makes[key[0]].pk} for key, values in rows.items()}
    known = MakeModel.objects.filter(make__in=makes.values())
    written = put(batch, MakeModel, keyed, {(model.make_id, model.name): model for model in known})
    return {key: written[(makes[key[0]].pk, key[1])] for key in rows}


def put_makes(batch: Batch, names: set[str]) -> dict[str, Make]:
    """Return the makes of these names, creating those that are missing."""
    known = {make.name: make for make in Make.objects.filter(name__in=names)}
    Make.objects.bulk_create([Make(name=name) for name in sorted(names - known.keys())])
    return {make.name: make for make in Make.objects.filter(name__in=names)}


@transaction.atomic
def put_ratings(batch: Batch, rows: Rows) -> dict[Key, Rating]:
    """Create or update ratings by (model id, rated load in ohm or None, line voltage or None)."""
    known = Rating.objects.filter(make_model_id__in={key[0] for key in rows})
    return put(
        batch, Rating, rows, {(rating.make_model_id, rating.load_ohm, rating.line_v): rating for rating in known}
    )


@transaction.atomic
def put_loudspeaker_specs(batch: Batch, rows: Rows) -> dict[Key, LoudspeakerSpec]:
    """Create or update what the maker says of a loudspeaker, by (model id,)."""
    known = LoudspeakerSpec.objects.filter(make_model_id__in={key[0] for key in rows})
    return put(batch, LoudspeakerSpec, rows, {(spec.make_model_id,): spec for spec in known})


@transaction.atomic
def record_settings(batch: Batch, rows: Rows) -> dict[Key, ConfigurationRecord]:
    """Record settings by (place id, state, time); each row holds `item_id` and `settings`: key to (value, unit).

    A record is a fact: the same one again changes nothing, another value for it is refused.
    """
    for key, row in rows.items():
        refuse_secret_settings(key, row["settings"])
    existing = _records(rows)
    records = put_facts(
        batch,
        ConfigurationRecord,
        {
            key: {"place_id": key[0], "state": key[1], "taken_at": key[2]}
            | {"item_id": row.get("item_id"), "recorded_by_id": batch.by and batch.by.pk}
            for key, row in rows.items()
            if key not in existing
        },
        {},
    )
    _refuse_other_settings(rows, existing)
    Setting.objects.bulk_create(
        Setting(record=record, key=name, value=value, unit=unit)
        for key, record in records.items()
        for name, (value, unit) in sorted(rows[key]["settings"].items())
    )
    return existing | records


def _records(rows: Rows) -> dict[Key, ConfigurationRecord]:
    known = ConfigurationRecord.objects.filter(
        place_id__in={key[0] for key in rows}, taken_at__in={key[2] for key in rows}
    ).prefetch_related("settings")
    keyed: dict[Key, ConfigurationRecord] = {}
    # A corrected record and its correction share a key: the one that says what the row says is the one that is known.
    for record in known.order_by("pk"):
        key = (record.place_id, record.state, record.taken_at)
        if key in rows and (key not in keyed or _others(keyed[key], rows[key]["settings"])):
            keyed[key] = record
    return keyed


def _others(record: ConfigurationRecord, given: Mapping[str, tuple[str, str]]) -> dict[str, tuple[str, str] | None]:
    """Return the settings that a record doesn't hold as they are given, with what it holds instead."""
    recorded = {setting.key: (setting.value, setting.unit) for setting in record.settings.all()}
    return {name: recorded.get(name) for name, value in given.items() if recorded.get(name) != value}


def _refuse_other_settings(rows: Rows, existing: Mapping[Key, ConfigurationRecord]) -> None:
    problems = []
    for key, record in existing.items():
        for name, held in _others(record, rows[key]["settings"]).items():
            was = " ".join(held).rstrip() if held is not None else "without this key"
            problems.append(
                Problem("setting", (*key, name), "value", f"recorded {was} at that time: give a later taken_at")
            )
    if problems:
        raise RefusedError(problems)
