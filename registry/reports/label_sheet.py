"""Labels on paper: where each one stands on a sheet or tape, and the PDF of them."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

from registry.reports.fitting import Fitted, fitted
from registry.reports.glyphs import printable
from registry.reports.labels import Label
from registry.reports.pdf import Template, UnprintableError, pdf_of
from registry.reports.qr import QrCode, qr_code
from registry.reports.wording import SHORT_FORM

MOST_LABELS: Final = 1000
A4_MM: Final = (210.0, 297.0)
# Office printers leave a border white, and the caution stands in the lower one.
SIDE_MM, FOOT_MM = 4.0, 8.0
LARGEST_QR_MM: Final = 22.0


@dataclass(frozen=True, slots=True)
class LabelLayout:
    """A page of labels: how many across and down, their size, the gaps, how many at the start are used up."""

    page_mm: tuple[float, float]
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0
    skip: int = 0
    cut_lines: bool = False

    @property
    def padding_mm(self) -> float:
        """White around the words of a label: less on tape, which is narrow."""
        return 1.0 if self.is_tape else 2.0

    @property
    def is_tape(self) -> bool:
        """Whether every label is a page of its own."""
        return self.page_mm == (self.width_mm, self.height_mm)

    @property
    def qr_side_mm(self) -> float:
        """How wide a QR code is with its quiet zone: most of the label stays for the words."""
        return min(self.height_mm, LARGEST_QR_MM, 0.45 * self.width_mm)

    def corners(self) -> Iterator[tuple[float, float]]:
        """Yield the upper left corners of a page's labels in reading order; the block stands in the page's middle."""
        left = (self.page_mm[0] - _extent(self.columns, self.width_mm, self.gap_x_mm)) / 2
        top = (self.page_mm[1] - _extent(self.rows, self.height_mm, self.gap_y_mm)) / 2
        for row in range(self.rows):
            for column in range(self.columns):
                yield left + column * (self.width_mm + self.gap_x_mm), top + row * (self.height_mm + self.gap_y_mm)


def _extent(count: int, size_mm: float, gap_mm: float) -> float:
    return count * size_mm + (count - 1) * gap_mm


def tape(*, height_mm: float, length_mm: float) -> LabelLayout:
    """Return the layout of a label printer's tape: one label after the other."""
    return LabelLayout((length_mm, height_mm), 1, 1, length_mm, height_mm)


def a4_sheet(
    *,
    columns: int,
    rows: int,
    width_mm: float,
    height_mm: float,
    gap_x_mm: float = 0.0,
    gap_y_mm: float = 0.0,
    skip: int = 0,
    cut_lines: bool = False,
) -> LabelLayout:
    """Return the layout of an A4 sheet. Raises ValueError when the labels don't fit between its white borders."""
    across, down = _extent(columns, width_mm, gap_x_mm), _extent(rows, height_mm, gap_y_mm)
    room = (A4_MM[0] - 2 * SIDE_MM, A4_MM[1] - 2 * FOOT_MM)
    if across > room[0]:
        raise ValueError(f"{columns} labels across take {across:g} mm; an A4 sheet has room for {room[0]:g} mm")
    if down > room[1]:
        raise ValueError(f"{rows} labels down take {down:g} mm; an A4 sheet has room for {room[1]:g} mm")
    return LabelLayout(A4_MM, columns, rows, width_mm, height_mm, gap_x_mm, gap_y_mm, skip, cut_lines)


def labels_pdf(title: str, labels: Sequence[Label], layout: LabelLayout) -> bytes:
    """Return the labels on as many pages as they need.

    Raises UnprintableError when there are none or too many, or one's words don't fit in type that can be read.
    """
    if not labels:
        raise UnprintableError("Nothing is recorded that could be labelled so.")
    if len(labels) > MOST_LABELS:
        raise UnprintableError(f"These are {len(labels)} labels; at most {MOST_LABELS} are printed at once.")
    data = {
        "title": title,
        "page": layout.page_mm,
        "size": (layout.width_mm, layout.height_mm),
        "padding": layout.padding_mm,
        "cut_lines": layout.cut_lines,
        "pages": _pages([_drawn(label, layout) for label in labels], layout),
        "foot": "" if layout.is_tape else SHORT_FORM,
        # The rows are measured with boxes already in place; the remark at the foot names what they stand for.
        "recorded": [(label.identifier, *label.details) for label in labels],
    }
    return pdf_of(Template.LABELS, data, dated=None)


def _pages(drawn: list[dict[str, Any]], layout: LabelLayout) -> list[list[dict[str, Any]]]:
    corners = list(layout.corners())
    spots = range(layout.skip, layout.skip + len(drawn))
    pages: list[list[dict[str, Any]]] = [[] for _ in range(spots[-1] // len(corners) + 1)]
    for spot, label in zip(spots, drawn, strict=True):
        pages[spot // len(corners)].append(label | {"at": corners[spot % len(corners)]})
    return pages


def _drawn(label: Label, layout: LabelLayout) -> dict[str, Any]:
    code = _code(label, layout)
    side = layout.qr_side_mm if code else 0.0
    # The code's own quiet zone is the white on its side of the words.
    width = layout.width_mm - layout.padding_mm * (1 if code else 2) - side
    return asdict(_fitted(label, width, layout)) | {"qr": code.svg if code else "", "side": side}


def _code(label: Label, layout: LabelLayout) -> QrCode | None:
    """Return the code where the label is large enough for a printer to print it."""
    code = qr_code(label.address) if label.address else None
    return code if code and code.fits(layout.qr_side_mm) else None


def _fitted(label: Label, width_mm: float, layout: LabelLayout) -> Fitted:
    details = [printable(detail) for detail in label.details]
    height_mm = layout.height_mm - 2 * layout.padding_mm
    found = fitted(printable(label.identifier), details, width_mm=width_mm, height_mm=height_mm)
    if found is None:
        raise UnprintableError(f"“{label.identifier}” doesn't fit on a label of this size: make the labels larger.")
    return found
