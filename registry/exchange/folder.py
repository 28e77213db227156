"""A survey folder, zip or set of uploaded files becomes rows of values; every fault names file, line and column."""

import csv
import io
import lzma
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any, NamedTuple

from registry.exchange.survey_format import FILES, SurveyFile

MOST_PROBLEMS = 200
LONGEST_CELL = 10_000
# All that a zip raises that is cut off, altered, locked, or packed in a way nobody can read.
DAMAGED = (
    *(zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error),
    *(RuntimeError, NotImplementedError, OSError, EOFError, ValueError, OverflowError),
)


class SurveyProblem(NamedTuple):
    """One fault of a survey: where it is, what stands there, what is expected."""

    file: str
    line: int | None
    column: str
    value: str
    expected: str

    def __str__(self) -> str:
        where = (
            self.file + (f" line {self.line}" if self.line else "") + (f", column {self.column}" if self.column else "")
        )
        got = f"{self.value[:60]!r}: " if self.value else ""
        return f"{where}: {got}{self.expected}"


class SurveyRefusedError(ValueError):
    """Raised when a survey has faults; nothing was written."""

    def __init__(self, problems: Iterable[SurveyProblem]) -> None:
        self.problems = list(problems)[:MOST_PROBLEMS]
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """One row of a survey file: its line and the value of every column, None where it is not known."""

    file: str
    line: int
    values: dict[str, Any]

    def __getitem__(self, name: str) -> Any:
        return self.values.get(name)

    def problem(self, column: str, value: Any, expected: str) -> SurveyProblem:
        """Return a fault of this row."""
        return SurveyProblem(self.file, self.line, column, "" if value is None else str(value), expected)


Tables = dict[str, list[Row]]


def files_of_folder(folder: Path, *, most_bytes: int) -> dict[str, bytes]:
    """Return the CSV files of a folder by name."""
    if not folder.is_dir():
        raise SurveyRefusedError([SurveyProblem(str(folder), None, "", "", "this is not a folder that can be read")])
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".csv")
    _refuse_too_large(sum(path.stat().st_size for path in paths), most_bytes)
    return {path.name: path.read_bytes() for path in paths}


def files_of_zip(content: bytes, *, most_bytes: int, ending: str = ".csv") -> dict[str, bytes]:
    """Return the files of a zip with this ending by name, wherever they lie in it; its size is judged unpacked."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = [entry for entry in archive.infolist() if entry.filename.lower().endswith(ending)]
            entries = [entry for entry in entries if not PurePosixPath(entry.filename).name.startswith(".")]
            _refuse_too_large(sum(entry.file_size for entry in entries), most_bytes)
            names = [PurePosixPath(entry.filename).name for entry in entries]
            if len(set(names)) < len(names):
                raise SurveyRefusedError(
                    [SurveyProblem("zip", None, "", "", "one survey folder; a file name stands in it twice")]
                )
            return {name: archive.read(entry) for name, entry in zip(names, entries, strict=True)}
    except SurveyRefusedError:
        raise
    except DAMAGED as error:
        raise SurveyRefusedError(
            [SurveyProblem("zip", None, "", str(error), "a zip file that opens without a password")]
        ) from error


def _refuse_too_large(size: int, most_bytes: int) -> None:
    if size > most_bytes:
        says = f"{size} bytes are more than the {most_bytes} that one import may have: import a part at a time"
        raise SurveyRefusedError([SurveyProblem("survey", None, "", "", says)])


def read_tables(files: Mapping[str, bytes]) -> Tables:
    """Return the rows of every survey file.

    Raises SurveyRefusedError with all faults: unknown files and columns, missing ones, unreadable cells, rows twice.
    """
    known = {survey_file.name: survey_file for survey_file in FILES}
    names = ", ".join(known)
    problems = [
        SurveyProblem(name, None, "", "", f"an unknown file; a survey has {names}")
        for name in files
        if name not in known
    ]
    if not files.keys() & known.keys():
        problems.append(SurveyProblem("survey", None, "", "", f"no survey file was found; a survey has {names}"))
    tables: Tables = {}
    for name, survey_file in known.items():
        tables[name] = list(_rows(survey_file, files[name], problems)) if name in files else []
    if problems:
        raise SurveyRefusedError(problems)
    return tables


def _rows(survey_file: SurveyFile, content: bytes, problems: list[SurveyProblem]) -> Iterator[Row]:
    text = _decoded(survey_file, content, problems)
    if text is None:
        return
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    seen: dict[tuple[Any, ...], int] = {}
    try:
        header = [name.strip() for name in next(reader, [])]
        found = _header_problems(survey_file, header)
        problems.extend(found)
        if found:
            return
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield from _row(survey_file, header, cells, reader.line_num, seen, problems)
    except csv.Error as error:
        problems.append(
            SurveyProblem(
                survey_file.name, reader.line_num, "", str(error), "comma-separated cells; quotes come in pairs"
            )
        )


def _decoded(survey_file: SurveyFile, content: bytes, problems: list[SurveyProblem]) -> str | None:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        says = "a file in UTF-8; save it again as CSV UTF-8"
        problems.append(SurveyProblem(survey_file.name, line, "", f"byte 0x{content[error.start]:02x}", says))
        return None


def _header_problems(survey_file: SurveyFile, header: list[str]) -> list[SurveyProblem]:
    names = {column.name for column in survey_file.columns}
    if len(header) == 1 and ";" in header[0]:
        return [SurveyProblem(survey_file.name, 1, "", header[0], "columns separated by commas, not semicolons")]
    expected = "one of " + ", ".join(column.name for column in survey_file.columns)
    problems = [
        SurveyProblem(survey_file.name, 1, name, name, f"an unknown column; {expected}")
        for name in header
        if name not in names
    ]
    problems += [
        SurveyProblem(survey_file.name, 1, column.name, "", "this column is missing and required")
        for column in survey_file.columns
        if column.required and column.name not in header
    ]
    twice = sorted({name for name in header if header.count(name) > 1})
    return problems + [SurveyProblem(survey_file.name, 1, name, name, "each column once") for name in twice]


def _row(
    survey_file: SurveyFile,
    header: list[str],
    cells: list[str],
    line: int,
    seen: dict[tuple[Any, ...], int],
    problems: list[SurveyProblem],
) -> Iterator[Row]:
    if len(cells) > len(header):
        says = f"{len(header)} cells, got {len(cells)}: is a comma unquoted?"
        problems.append(SurveyProblem(survey_file.name, line, "", cells[len(header)], says))
        return
    before = len(problems)
    texts = dict(zip(header, (cell.strip() for cell in cells), strict=False))
    row = Row(survey_file.name, line, {})
    for column in survey_file.columns:
        row.values[column.name] = _value(column, texts.get(column.name, ""), row, problems)
    if len(problems) > before:
        return
    first = seen.setdefault(tuple(row[name] for name in survey_file.key), line)
    if first != line:
        says = f"given once; line {first} has the same {', '.join(survey_file.key)}"
        problems.append(row.problem(survey_file.key[-1], row[survey_file.key[-1]], says))
        return
    yield row


def _value(column: Any, text: str, row: Row, problems: list[SurveyProblem]) -> Any:
    if not text:
        if column.required:
            problems.append(row.problem(column.name, None, "a value: this column is required"))
        return column.default
    if len(text) > LONGEST_CELL:
        problems.append(row.problem(column.name, text, f"at most {LONGEST_CELL} characters"))
        return None
    try:
        return column.read(text)
    except ValueError as error:
        problems.append(row.problem(column.name, text, str(error)))
        return None
