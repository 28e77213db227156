"""Tables as downloads, kept by nobody in between."""

from collections.abc import Iterable
from typing import Literal, TypeVar

from django.http import FileResponse, HttpRequest, HttpResponseBase, StreamingHttpResponse
from django.utils.text import slugify

from registry.reports.tables import Table, csv_lines
from registry.reports.workbook import CONTENT_TYPE, xlsx_file

R = TypeVar("R", bound=HttpResponseBase)
Export = Literal["", "csv", "xlsx"]
KINDS: tuple[Export, ...] = ("csv", "xlsx")


def export_asked(request: HttpRequest) -> Export:
    """Return the kind of file that the address asks for; empty when it asks for the page."""
    wanted = request.GET.get("export", "")
    return next((kind for kind in KINDS if kind == wanted), "")


def csv_response(table: Table) -> StreamingHttpResponse:
    """Return a table as CSV, sent as its rows are read."""
    response = StreamingHttpResponse(csv_lines(table), content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{slugify(table.title)}.csv"'
    return _private(response)


def xlsx_response(tables: Iterable[Table], *, name: str) -> FileResponse:
    """Return tables as the sheets of one workbook, sent from a temporary file."""
    filename = f"{slugify(name)}.xlsx"
    return _private(FileResponse(xlsx_file(tables), as_attachment=True, filename=filename, content_type=CONTENT_TYPE))


def _private(response: R) -> R:
    response.headers["Cache-Control"] = "private, no-store"
    return response
