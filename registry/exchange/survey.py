"""A survey on its way into the register: its rows, what they refer to, and every fault on the way."""

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import Any, TypeVar

from django.db import models

from registry.exchange.folder import Row, SurveyProblem, SurveyRefusedError, Tables
from registry.exchange.survey_format import FILES, SurveyFile
from sites.models import Site
from sites.put import Batch, Key, RefusedError

M = TypeVar("M", bound=models.Model)
R = TypeVar("R")
KEY_COLUMNS = {survey_file.name: survey_file.key for survey_file in FILES}


class Survey:
    """Rows by file, objects by natural key, and the faults found so far. A faulty row is left out, not half taken."""

    def __init__(self, tables: Tables, batch: Batch) -> None:
        self.tables = tables
        self.batch = batch
        self.problems: list[SurveyProblem] = []
        self.sites: dict[str, Site] = {}
        self.objects: dict[str, dict[Key, Any]] = {}
        self.rows: dict[tuple[str, Key], Row] = {}

    @cached_property
    def declared(self) -> dict[str, set[tuple[Any, ...]]]:
        """The names that each file gives, so that one fault is not told again by all that refers to it."""
        return {name: {self._names(row) for row in rows} for name, rows in self.tables.items()}

    def _names(self, row: Row) -> tuple[Any, ...]:
        return tuple(row[column] for column in KEY_COLUMNS[row.file])

    def name_of(self, row: Row) -> str:
        """Return the row's key as people read it."""
        return " / ".join(str(part) for part in self._names(row) if part is not None)

    def fail(self, row: Row, column: str, expected: str) -> None:
        """Record a fault of a cell."""
        self.problems.append(row.problem(column, row[column], expected))

    def site_of(self, row: Row) -> Site | None:
        """Return the row's site, or None after recording that there is none."""
        site = self.sites.get(row["site"])
        if site is None and (row["site"],) not in self.declared["sites.csv"]:
            self.fail(row, "site", "a site in sites.csv or in the register")
        return site

    def sited(self, survey_file: SurveyFile) -> Iterable[tuple[Row, Site]]:
        """Return the rows of a file whose site is known, with it."""
        for row in self.tables[survey_file.name]:
            site = self.site_of(row)
            if site is not None:
                yield row, site

    def refer(self, row: Row, column: str, what: str, key: Key, file: str) -> tuple[Any, bool]:
        """Return the object that a cell names, and whether the row may go on; an empty cell names nothing.

        A name that is nowhere is a fault; one whose own row is faulty is not told twice.
        """
        if row[column] is None:
            return None, True
        found = self.objects.get(what, {}).get(key)
        names = tuple(row["site"] if part == getattr(self.sites.get(row["site"]), "pk", None) else part for part in key)
        if found is None and names not in self.declared[file]:
            self.fail(row, column, f"a {what} in {file} or in the register")
        return found, found is not None

    def put(
        self,
        what: str,
        action: Callable[[Batch, Mapping[Key, Mapping[str, Any]]], dict[Key, M]],
        rows: Mapping[Key, tuple[Row, Mapping[str, Any]]],
        columns: Mapping[str, str] | None = None,
    ) -> dict[Key, M]:
        """Run an action on rows and remember what came of it; its refusals become faults of their rows."""
        self.rows |= {(what, key): row for key, (row, _) in rows.items()}
        values = {key: values for key, (_, values) in rows.items()}
        written = self.run(lambda: action(self.batch, values), columns) or {}
        self.objects.setdefault(what, {}).update(written)
        return written

    def run(self, action: Callable[[], R], columns: Mapping[str, str] | None = None) -> R | None:
        """Run an action whose rows are known by now; None when it refused them."""
        try:
            return action()
        except RefusedError as refused:
            for problem in refused.problems:
                column = (columns or {}).get(problem.field, problem.field.removesuffix("_id"))
                row = self.rows.get((problem.what, problem.key))
                if row is None:
                    self.problems.append(SurveyProblem(problem.what, None, column, "", problem.says))
                else:
                    self.fail(row, column, problem.says)
        return None

    def know(self, what: str, objects: Iterable[M], key: Callable[[M], Key]) -> None:
        """Make what the register already holds findable by name."""
        self.objects.setdefault(what, {}).update({key(found): found for found in objects})

    def site_ids(self) -> set[int]:
        """Return the ids of the sites that the survey touches."""
        return {site.pk for site in self.sites.values()}

    def model_ids(self) -> set[int]:
        """Return the ids of the makes and models that the survey touches."""
        return {model.pk for model in self.objects.get("make model", {}).values()}

    def refuse_if_faulty(self) -> None:
        """Raise SurveyRefusedError with all faults, in the order of files and lines."""
        if self.problems:
            order = {survey_file.name: place for place, survey_file in enumerate(FILES)}
            raise SurveyRefusedError(
                sorted(self.problems, key=lambda p: (order.get(p.file, 99), p.line or 0, p.column))
            )


def picked(row: Row, names: Iterable[str]) -> dict[str, Any]:
    """Return the values of these columns."""
    return {name: row[name] for name in names}
