"""Reading a report back from its three forms, each by a library that knows nothing of how it was made."""

import io
from html.parser import HTMLParser
from typing import Any

from openpyxl import load_workbook
from pypdf import PdfReader


class Tables(HTMLParser):
    """Every table of a page under the heading before it: a list of rows of cells."""

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, list[list[str]]] = {}
        self.heading, self._inside = "", ""

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        if tag == "h2":
            self.heading = ""
        if tag == "table":
            self.found.setdefault(self.heading.strip(), [])
        if tag == "tr":
            self.found[self.heading.strip()].append([])
        if tag in {"td", "th"}:
            self.found[self.heading.strip()][-1].append("")
        if tag == "br" and self._inside in {"td", "th"}:
            self.found[self.heading.strip()][-1][-1] += "|"
        if tag in {"h2", "td", "th"}:
            self._inside = tag

    def handle_endtag(self, tag: str) -> None:
        if tag == self._inside:
            self._inside = ""

    def handle_data(self, data: str) -> None:
        if self._inside == "h2":
            self.heading += data
        elif self._inside:
            self.found[self.heading.strip()][-1][-1] += data


def tables_of_page(content: str) -> dict[str, list[list[str]]]:
    """Return the tables of a page by heading, headings of columns first."""
    parser = Tables()
    parser.feed(content)
    return parser.found


def words_of_pdf(content: bytes) -> str:
    """Return the words of a PDF without any white space: where its rows break doesn't matter."""
    return "".join("".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages)


def sheets_of(content: bytes) -> dict[str, list[tuple[Any, ...]]]:
    """Return the rows of every sheet of a workbook, without the headings."""
    book = load_workbook(io.BytesIO(content))
    return {sheet.title: list(sheet.iter_rows(min_row=2, values_only=True)) for sheet in book}
