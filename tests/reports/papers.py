"""Reading a PDF as a person and a camera do: its words, its pages, its QR codes, where each sign stands."""

import re
from io import BytesIO
from typing import Any

import pypdfium2
import zxingcpp
from pypdf import PdfReader

POINT_MM = 25.4 / 72
HOSTILE = r"""#strong[x] $a^2$ *b* _i_ `c` @ref <lab> // n /* n */ \ \u{41} ~ -- --- ... "q" 'p' {{ y }} %> #panic()"""


def reader(content: bytes) -> PdfReader:
    return PdfReader(BytesIO(content))


def words_of(content: bytes) -> str:
    """Return the words of all pages, white space runs made one space."""
    return " ".join(" ".join(page.extract_text() for page in reader(content).pages).split())


def squeezed(text: str) -> str:
    """Return a text without white space: where a PDF breaks its rows doesn't matter."""
    return re.sub(r"\s", "", text)


def page_sizes_mm(content: bytes) -> list[tuple[float, float]]:
    return [
        (round(float(page.mediabox.width) * POINT_MM, 1), round(float(page.mediabox.height) * POINT_MM, 1))
        for page in reader(content).pages
    ]


def codes_of(content: bytes, page: int = 0) -> list[str]:
    """Return what a camera reads from a page that was printed at 203 dpi, as label printers do."""
    picture = pypdfium2.PdfDocument(content)[page].render(scale=203 / 72).to_numpy()
    return [found.text for found in zxingcpp.read_barcodes(picture)]


def signs_of(content: bytes, page: int = 0) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Return every visible sign of a page with its left, top, right and bottom in millimetres from the upper left."""
    document = pypdfium2.PdfDocument(content)
    height = document[page].get_height()
    text: Any = document[page].get_textpage()
    found = []
    for number in range(text.count_chars()):
        sign = text.get_text_range(number, 1)
        if sign.strip():
            left, bottom, right, top = text.get_charbox(number)
            found.append((sign, tuple(round(mm * POINT_MM, 2) for mm in (left, height - top, right, height - bottom))))
    return found
