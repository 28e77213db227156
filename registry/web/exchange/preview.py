"""What a dry run says, sorted for reading: by file, new rows counted, changed ones with before and after."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any, NamedTuple

from registry.exchange.cells import show
from registry.exchange.importing import Imported, SurveyChange

MOST_SHOWN = 100
ELSEWHERE = "what follows from it"


class ChangedField(NamedTuple):
    """One field with its value before and after."""

    name: str
    before: str
    after: str


class ChangedRow(NamedTuple):
    """One row that differs from what the register knows."""

    where: str
    what: str
    name: str
    fields: list[ChangedField]


class FilePreview(NamedTuple):
    """What one file of a survey would do."""

    file: str
    new: list[str]
    new_count: int
    changed: list[ChangedRow]
    changed_count: int


def previews(imported: Imported) -> list[FilePreview]:
    """Return what would happen, file by file in the order of the survey; long lists are cut and counted."""
    by_file: dict[str, list[SurveyChange]] = {}
    for change in imported.changes:
        by_file.setdefault(change.where.split(" line ")[0] or ELSEWHERE, []).append(change)
    return [_preview(file, changes) for file, changes in by_file.items()]


def _preview(file: str, changes: Iterable[SurveyChange]) -> FilePreview:
    fresh = [change for change in changes if change.new]
    changed = [change for change in changes if not change.new]
    return FilePreview(
        file=file,
        new=[f"{change.what} {change.name}".rstrip() for change in fresh[:MOST_SHOWN]],
        new_count=len(fresh),
        changed=[_row(change) for change in changed[:MOST_SHOWN]],
        changed_count=len(changed),
    )


def _row(change: SurveyChange) -> ChangedRow:
    fields = [ChangedField(_words(name), _shown(before), _shown(after)) for name, before, after in change.fields]
    return ChangedRow(change.where, change.what, change.name, fields)


def _words(name: str) -> str:
    return name.removesuffix("_id")


def _shown(value: Any) -> str:
    if value is None or value == "":
        return "not known"
    if isinstance(value, list):
        return " ".join(show(part) for part in value) or "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.isoformat(timespec="minutes") if isinstance(value, datetime) else show(value).removeprefix("'")
