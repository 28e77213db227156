"""The one door to typst: a template of this package and plain data go in, a tagged PDF comes out."""

import html
import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

import typst

from registry.reports.glyphs import lacking, printable, remark

FOLDER: Final = Path(__file__).parent / "typst"
MOST_BYTES: Final = 4 * 1024 * 1024
TOO_MUCH: Final = "too much for one page"
_NUMBERED = re.compile(r"&#(x[0-9a-fA-F]{1,6}|[0-9]{1,7});")


class Template(StrEnum):
    """The templates that there are: no other file is ever read."""

    DOOR_CARD = "door_card.typ"
    LABELS = "labels.typ"
    SHEET = "sheet.typ"


class UnprintableError(ValueError):
    """There is too much of it for the paper; the message says so to people."""


def pdf_of(template: Template, data: Mapping[str, Any], *, dated: datetime | None) -> bytes:
    """Return the PDF of a template filled with plain data; the same data give the same bytes.

    Text goes in as JSON and is never read as markup. `dated` becomes the file's date; without one it has none.
    PDF/UA-1 makes typst refuse what it could not show, name or tag, instead of leaving it out.
    Raises UnprintableError when there is more than `MOST_BYTES`, or more than fits where only one page is allowed.
    """
    missing: set[str] = set()
    shown = _printable(dict(data), missing)
    filled = json.dumps(shown | {"remark": remark(frozenset(missing)), "dated": dated is not None})
    if len(filled) > MOST_BYTES:
        raise UnprintableError(f"This is too much to print at once: {len(filled)} bytes, {MOST_BYTES} are allowed.")
    return _compiled(template, filled, dated)


def _compiled(template: Template, filled: str, dated: datetime | None) -> bytes:
    try:
        made = typst.compile(
            str(FOLDER / template),
            root=str(FOLDER),
            ignore_system_fonts=True,
            sys_inputs={"data": filled},
            pdf_standards="ua-1",
            timestamp=dated and dated.astimezone(UTC).replace(microsecond=0),
        )
    except typst.TypstError as error:
        if TOO_MUCH in str(error):
            raise UnprintableError("There is too much for one page.") from error
        raise
    return bytes(made)


def _printable(value: Any, missing: set[str]) -> Any:
    """Make every text in the data printable, wherever it stands; note what the fonts lack."""
    if isinstance(value, str):
        text = _plain_signs(value) if value.startswith("<svg") else value
        missing |= lacking(text)
        return printable(text)
    if isinstance(value, Mapping):
        return {key: _printable(part, missing) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(part, missing) for part in value]
    return value


def _plain_signs(svg: str) -> str:
    """Write numbered characters of a drawing as themselves; the five that XML needs stay escaped.

    Raises ValueError for a drawing that would load a file.
    """
    if re.search(r"<(image|foreignObject|script)\b|@import|url\((?!#)", svg):
        raise ValueError("a drawing must not load anything: it holds an image, a script or an address")
    return _NUMBERED.sub(lambda found: html.escape(html.unescape(found[0])), svg)
