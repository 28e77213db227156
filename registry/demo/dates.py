"""The survey of the demo holds fixed dates; these move all of them by whole weeks, so that it looks fresh."""

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime, timedelta
from typing import Final

FRESH: Final = timedelta(days=2)  # the newest fact lies this far back, or up to six days more
DAYS: Final = ("installed_on", "warranty_until")
MOMENT: Final = "taken_at"

Files = Mapping[str, bytes]
Cells = dict[str, str]


def weeks_until(files: Files, today: date) -> timedelta:
    """Return the whole weeks by which the newest fact of a survey must move to lie a few days before `today`."""
    newest = max(datetime.fromisoformat(row[MOMENT]).date() for content in files.values() for row in facts(content))
    return timedelta(weeks=(today - FRESH - newest).days // 7)


def facts(content: bytes) -> Iterator[Cells]:
    """Return the rows of a file that are facts with a time."""
    return (row for row in csv.DictReader(io.StringIO(content.decode())) if row.get(MOMENT))


def moved(files: Files, by: timedelta) -> dict[str, bytes]:
    """Return the survey with all its dates moved; whole weeks keep the days of the week and, naive, the time of day."""
    return {name: rewritten(content, lambda row: _moved_row(row, by)) for name, content in files.items()}


def until(files: Files, day: date) -> dict[str, bytes]:
    """Return the survey as it stood at the end of a day: without the facts that were recorded later."""
    return {name: rewritten(content, lambda row: _until_row(row, day)) for name, content in files.items()}


def rewritten(content: bytes, change: Callable[[Cells], Cells | None]) -> bytes:
    """Return a CSV file with every row changed, those left out for which `change` returns nothing."""
    reader = csv.DictReader(io.StringIO(content.decode()))
    text = io.StringIO()
    writer = csv.DictWriter(text, reader.fieldnames or (), lineterminator="\n")
    writer.writeheader()
    writer.writerows(row for row in map(change, reader) if row is not None)
    return text.getvalue().encode()


def _moved_row(row: Cells, by: timedelta) -> Cells:
    new = {name: (date.fromisoformat(row[name]) + by).isoformat() for name in DAYS if row.get(name)}
    if row.get(MOMENT):
        new[MOMENT] = (datetime.fromisoformat(row[MOMENT]) + by).isoformat(timespec="minutes")
    return row | new


def _until_row(row: Cells, day: date) -> Cells | None:
    late = row.get(MOMENT) and datetime.fromisoformat(row[MOMENT]).date() > day
    return None if late else row
