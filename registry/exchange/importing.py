"""A survey is written through the same actions as everything else: all of it or nothing."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import IntegrityError, transaction

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Zone
from registry.audio.queries import lines_touched_by
from registry.baselines.drift import refresh_drift
from registry.exchange import survey_audio, survey_equipment, survey_facts, survey_places
from registry.exchange.folder import SurveyProblem, SurveyRefusedError, Tables, read_tables
from registry.exchange.survey import Survey
from sites.models import User
from sites.put import Batch, Change, Key


@dataclass(frozen=True)
class Imported:
    """What an import did, or in a dry run would do."""

    rows: int
    changes: "list[SurveyChange]" = field(default_factory=list)

    @property
    def new(self) -> int:
        """How many rows are new."""
        return sum(change.new for change in self.changes)

    @property
    def changed(self) -> int:
        """How many rows differ from what the register knew."""
        return len(self.changes) - self.new


@dataclass(frozen=True)
class SurveyChange:
    """A change, and the row of the survey that makes it."""

    where: str
    what: str
    name: str
    new: bool
    fields: tuple[tuple[str, Any, Any], ...]


STEPS: tuple[Callable[[Survey], None], ...] = (
    survey_places.import_clients,
    survey_places.import_sites,
    survey_places.import_spaces,
    survey_places.import_racks,
    survey_equipment.import_models,
    survey_equipment.import_ratings,
    survey_equipment.import_loudspeakers,
    survey_equipment.import_equipment,
    survey_audio.import_zones,
    survey_audio.import_lines,
    survey_facts.import_settings,
    survey_facts.import_levels,
)


def import_survey(files: Mapping[str, bytes], *, by: User | None, dry_run: bool = False) -> Imported:
    """Write a survey into the register; a dry run does the same and takes it back.

    Raises SurveyRefusedError with every fault found; then nothing was written.
    """
    tables = read_tables(files)
    try:
        with transaction.atomic():
            imported = _write(tables, by)
            if dry_run:
                transaction.set_rollback(True)
    except IntegrityError as error:
        # The checks before each write leave only one way here: somebody wrote the same rows meanwhile.
        says = "somebody else changed the same rows at this moment: import again"
        raise SurveyRefusedError([SurveyProblem("survey", None, "", "", says)]) from error
    return imported


def _write(tables: Tables, by: User | None) -> Imported:
    survey = Survey(tables, Batch(by=by))
    for step in STEPS:
        step(survey)
    survey.refuse_if_faulty()
    refresh_verdicts(lines_touched_by(survey.site_ids(), survey.model_ids()))
    # A zone's tolerance may be another one, though no level came with it.
    refresh_drift(Zone.objects.filter(site__in=survey.site_ids()))
    names = {what: {found.pk: _name(key) for key, found in known.items()} for what, known in survey.objects.items()}
    changes = [_located(survey, change, names) for change in survey.batch.changes]
    return Imported(sum(len(rows) for rows in tables.values()), changes)


def _name(key: Key) -> str:
    """Return a natural key as people read it, without the id of its site."""
    return " ".join(str(part) for part in key if not isinstance(part, int))


Names = Mapping[str, Mapping[int, str]]
REFERENCES = {
    "amplifier_id": "place",
    "client_id": "client",
    "line_id": "line",
    "loudspeaker_id": "loudspeaker",
    "make_model_id": "make model",
    "rack_id": "rack",
    "space_id": "space",
    "zone_id": "zone",
}


def _located(survey: Survey, change: Change, names: Names) -> SurveyChange:
    row = survey.rows.get((change.what, change.key))
    fields = tuple(_named(names, *altered) for altered in change.fields if altered[0] != "make_id")
    if row is None:
        return SurveyChange("", change.what, "", change.new, fields)
    return SurveyChange(f"{row.file} line {row.line}", change.what, survey.name_of(row), change.new, fields)


def _named(names: Names, field_name: str, before: Any, after: Any) -> tuple[str, Any, Any]:
    """Put names in the place of ids, so that people can read what changes."""
    what = REFERENCES.get(field_name)
    if what is None:
        return field_name, before, after
    known = names.get(what, {})
    return what, known.get(before, before and "another"), known.get(after, after and "another")
