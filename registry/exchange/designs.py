"""An accepted plan's tables as survey files and back, and on their way into the register."""

import csv
import io
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from registry.audio.retiring import give_up_channels, retire_lines
from registry.exchange.cells import show
from registry.exchange.folder import read_tables
from registry.exchange.importing import Imported, import_survey
from registry.exchange.survey_format import EQUIPMENT, LINES, SETTINGS, ZONES, SurveyFile
from registry.planning.design_tables import Row, Tables
from registry.planning.fold_plans import record_wired, refuse_if_changed, refuse_unless_accepted
from registry.planning.models import FoldPlan
from registry.planning.surroundings import surroundings
from sites.models import User

FILES: Mapping[str, SurveyFile] = {"equipment": EQUIPMENT, "zones": ZONES, "lines": LINES, "settings": SETTINGS}
FIXED_DATE = (1980, 1, 1, 0, 0, 0)  # the same files are the same zip


@dataclass(frozen=True, slots=True)
class Wired:
    """What putting a plan into the register did, or in a dry run would do; `retired`: lines that are empty then."""

    imported: Imported
    retired: tuple[str, ...] = field(default=())


def survey_files(tables: Tables, *, taken_at: datetime) -> dict[str, bytes]:
    """Return the tables of a design as survey files by name; what is to be set gets this time."""
    timed = {"settings": [row | {"taken_at": taken_at} for row in tables["settings"]]}
    rows = {name: timed.get(name, tables[name]) for name in FILES if tables[name]}
    return {FILES[name].name: _written(FILES[name], found) for name, found in rows.items()}


def _written(survey_file: SurveyFile, rows: Iterable[Row]) -> bytes:
    rows = list(rows)
    columns = [column.name for column in survey_file.columns if column.required or any(column.name in r for r in rows)]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([show(row.get(name)) for name in columns] for row in rows)
    return text.getvalue().encode()


def tables_in(files: Mapping[str, bytes]) -> Tables:
    """Return the tables that survey files of a design hold: the way back."""
    read = read_tables(files)
    return {
        name: [
            {column: value for column, value in row.values.items() if value is not None and column != "taken_at"}
            for row in read[survey_file.name]
        ]
        for name, survey_file in FILES.items()
    }


def zipped(files: Mapping[str, bytes], *, folder: str) -> bytes:
    """Return survey files as a zip with one folder."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(f"{folder}/{name}", FIXED_DATE), files[name], zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def put_into_register(
    *, by: User, plan: FoldPlan, equipment: Mapping[str, Row], at: datetime | None = None, dry_run: bool = False
) -> Wired:
    """Write an accepted plan's design into the register, all or nothing; a dry run does the same and takes it back.

    `equipment` holds what was read off each new amplifier, by its place: tag, serial, rack, position_u.
    Raises SurveyRefusedError, or RefusedError when the plan isn't accepted or the wiring is another one by now.
    """
    moment = at or timezone.now()
    with transaction.atomic():
        accepted = refuse_unless_accepted(plan)
        refuse_if_changed(plan, surroundings(plan.site))
        assert accepted.design is not None
        files = survey_files(_completed(accepted.design["tables"], equipment), taken_at=moment)
        emptied = accepted.design["design"]["emptied"]
        give_up_channels(site=plan.site, names=emptied)
        imported = import_survey(files, by=by)
        retired = retire_lines(by=by, site=plan.site, names=emptied)
        record_wired(by=by, plan=plan, at=moment)
        if dry_run:
            transaction.set_rollback(True)
    return Wired(imported, tuple(retired))


def _completed(tables: Tables, equipment: Mapping[str, Row]) -> Tables:
    known: dict[str, dict[str, Any]] = {place: dict(row) for place, row in equipment.items()}
    rows = [
        row | {k: v for k, v in known.get(row["place"], {}).items() if v not in (None, "")}
        for row in tables["equipment"]
    ]
    return {**tables, "equipment": rows}
