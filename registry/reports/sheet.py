"""A printed sheet as plain data: sections of words, boxes to tick, blanks, tables, drawings. `sheet_pdf` prints it."""

import base64
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Final

from registry.reports.pdf import Template, UnprintableError, pdf_of
from registry.reports.wording import SHORT_FORM
from sites.photos import clean_photo

# About a second of work each.
MOST_ROWS: Final = 600
MOST_CHECKS: Final = 1000
PRINTED_SIDE: Final = 800  # pixels: 250 per inch at 80 mm


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph."""

    text: str
    kind: str = field(init=False, default="words")


@dataclass(frozen=True, slots=True)
class Points:
    """A list of short sentences."""

    items: tuple[str, ...]
    kind: str = field(init=False, default="points")


@dataclass(frozen=True, slots=True)
class Caution:
    """One line beside work that can hurt someone."""

    text: str
    kind: str = field(init=False, default="caution")


@dataclass(frozen=True, slots=True)
class Blanks:
    """Named blanks beside each other, to be filled in with a pen."""

    labels: tuple[str, ...]
    kind: str = field(init=False, default="blanks")


@dataclass(frozen=True, slots=True)
class Lines:
    """Empty lines to write on."""

    count: int
    kind: str = field(init=False, default="lines")


@dataclass(frozen=True, slots=True)
class Check:
    """A box to tick, what to set, the value, and a blank for what was found when `blank`."""

    text: str
    value: str = ""
    blank: bool = True


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """The boxes of one thing."""

    heading: str
    checks: tuple[Check, ...]
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Checks:
    """Groups of boxes to tick, in columns."""

    groups: tuple[CheckGroup, ...]
    columns: int = 3
    kind: str = field(init=False, default="checks")


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: heading, its share of the width (0: as wide as its words), whether a pen fills it in."""

    heading: str
    share: float = 0.0
    number: bool = False
    fill: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell with more than words: a second line, a box to tick before it, bold, or as high as `rows` rows."""

    text: str
    detail: str = ""
    box: bool = False
    strong: bool = False
    rows: int = 1


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells; where a cell of an earlier row reaches down, the row has no cell."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell | str, ...], ...]
    kind: str = field(init=False, default="table")

    def __post_init__(self) -> None:
        """Refuse rows that don't fill the columns: a shifted cell would name the wrong terminal."""
        reaching: list[int] = []
        for number, row in enumerate(self.rows, start=1):
            if len(row) + len(reaching) != len(self.columns):
                raise ValueError(f"row {number} has {len(row)} cells, {len(self.columns) - len(reaching)} are free")
            spans = reaching + [cell.rows for cell in row if isinstance(cell, Cell)]
            reaching = [rows - 1 for rows in spans if rows > 1]

    @property
    def paired(self) -> list[list[tuple[Column, Cell]]]:
        """Every row as its cells with their columns, for a page; only where no cell reaches down."""
        cells = ([cell if isinstance(cell, Cell) else Cell(cell) for cell in row] for row in self.rows)
        return [list(zip(self.columns, row, strict=True)) for row in cells]


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG of registry.drawings and the words that say the same; `width_mm` 0: its own size, at most the page's."""

    svg: str
    alt: str
    caption: str = ""
    width_mm: float = 0.0
    kind: str = field(init=False, default="drawing")


@dataclass(frozen=True, slots=True)
class Drawings:
    """Small drawings beside each other, each under its caption."""

    drawings: tuple[Drawing, ...]
    columns: int = 2
    kind: str = field(init=False, default="drawings")


@dataclass(frozen=True, slots=True)
class Photo:
    """A JPEG, as large as print needs, in base 64; the words that say the same, and a caption."""

    jpeg: str
    width: int
    height: int
    alt: str
    caption: str = ""
    kind: str = field(init=False, default="photo")

    @classmethod
    def of(cls, data: bytes, *, alt: str, caption: str = "") -> "Photo":
        """Return a photo of the register, made smaller for paper."""
        small = clean_photo(data, longest_side=PRINTED_SIDE)
        return cls(base64.b64encode(small.data).decode(), small.width, small.height, alt, caption)


Block = Words | Points | Caution | Blanks | Lines | Checks | Table | Drawing | Drawings | Photo


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands below it."""

    heading: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole sheet: the title, the answer in one sentence, cautions before the work, then the sections."""

    title: str
    answer: str
    sections: tuple[Section, ...]
    dated: datetime | None = None
    head: tuple[Block, ...] = ()
    cautions: tuple[str, ...] = ()
    landscape: bool = False


def sheet_pdf(sheet: Sheet) -> bytes:
    """Return the sheet as an A4 PDF; the short form of the caution stands at the foot of every page.

    Raises UnprintableError when it has more than `MOST_ROWS` rows or `MOST_CHECKS` boxes to tick.
    """
    blocks = [*sheet.head, *(block for section in sheet.sections for block in section.blocks)]
    _refuse_more(sum(len(block.rows) for block in blocks if isinstance(block, Table)), MOST_ROWS, "rows")
    groups = [group for block in blocks if isinstance(block, Checks) for group in block.groups]
    _refuse_more(sum(len(group.checks) for group in groups), MOST_CHECKS, "boxes to tick")
    data = asdict(sheet)
    del data["dated"]
    return pdf_of(Template.SHEET, data | {"short_form": SHORT_FORM}, dated=sheet.dated)


def _refuse_more(count: int, most: int, word: str) -> None:
    if count > most:
        raise UnprintableError(f"This is too much to print at once: {count} {word}, {most} are allowed.")
