"""One list for every page: filter, sort, pages and an export of what is shown, from one declaration of columns."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Generic, Literal, NamedTuple, TypeVar

from django.core.paginator import Page
from django.db.models import Model, QuerySet
from django.db.models.expressions import OrderBy
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.utils.functional import cached_property
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.text import slugify
from django_filters import FilterSet

from registry.reports.tables import Table, TableColumn
from registry.web.exports import csv_response, export_asked, xlsx_response
from sites.bounded_counts import CountedPages

M = TypeVar("M", bound=Model)
PAGE_SIZE = 25
EXPORT_CHUNK = 500


class ListFilter(FilterSet):  # type: ignore[misc]
    """Base of the filters of a list; `self.request.user` says who is looking."""


def with_columns(rows: QuerySet[M], *names: str) -> QuerySet[M]:
    """Return rows that are read with these columns only: to read whole rows of four tables cost a tenth of a page.

    A column of another table is named by the way there: `site__name`.
    """
    ways = {name.rpartition("__")[0] for name in names} - {""}
    return rows.select_related(None).select_related(*ways).only(*names)


def site_units(row: Any) -> str:
    """Return the system of units of the site that a row belongs to."""
    site = getattr(row, "site", None)
    return site.units if site is not None else "metric"


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column, for the page and for the export.

    `value` gives a plain value; with `unit` it is a number that the page shows in the site's system and the export
    leaves in `unit`. `sort` names the fields to order by; `downwards` is the order by the first one downwards, where
    that isn't the field with a minus. `blank` is the word for None and "".
    """

    heading: str
    value: Callable[[Any], Any]
    sort: tuple[str, ...] = ()
    downwards: OrderBy | None = None
    unit: str = ""
    link: Callable[[Any], str] | None = None
    kind: Literal["text", "verdict", "drift", "day", "number"] = "text"
    blank: str = "not known"
    units: Callable[[Any], str] = site_units

    @property
    def is_number(self) -> bool:
        """Whether its values stand to the right, digit below digit."""
        return bool(self.unit) or self.kind == "number"

    @cached_property
    def opens(self) -> SafeString:
        """What a cell of it begins with on the page."""
        css = ' class="number"' if self.is_number else ""
        return format_html(f'<td role="cell" data-label="{{}}"{css}>', self.heading)

    @cached_property
    def key(self) -> str:
        """The column's word in the address."""
        return slugify(self.heading)


class Cell(NamedTuple):
    """One value of one row, ready for the template."""

    column: Column
    value: Any
    href: str
    units: str

    @property
    def is_blank(self) -> bool:
        """Whether there is nothing to show."""
        return self.value is None or self.value == ""


class Row(NamedTuple):
    """One object and its cells."""

    object: Any
    cells: list[Cell]


class Heading(NamedTuple):
    """A column's heading: what a click on it sorts by (empty when it can't), and how the list is sorted by it now."""

    column: Column
    next_sort: str
    order: Literal["", "ascending", "descending"]


class Listing(Generic[M]):
    """The rows of a list as the address asks for them: filters by name, `sort`, `page`, `export=csv` or `xlsx`.

    `prepare` gets the rows of a page (or a stretch of the export) before they are read, for what no prefetch can do.
    """

    def __init__(
        self,
        request: HttpRequest,
        queryset: QuerySet[M],
        columns: Sequence[Column],
        *,
        name: str,
        filterset: type[ListFilter] | None = None,
        prepare: Callable[[Sequence[M]], object] | None = None,
    ) -> None:
        self.request, self.columns, self.name, self.prepare = request, columns, name, prepare
        self.filter = filterset(request.GET, queryset=queryset, request=request) if filterset else None
        self.queryset = self._filtered(queryset)

    def _filtered(self, queryset: QuerySet[M]) -> QuerySet[M]:
        if self.filter is None:
            return self._sorted(queryset)
        if not self.filter.is_valid():
            return queryset.none()
        return self._sorted(self.filter.qs)

    def _sorted(self, queryset: QuerySet[M]) -> QuerySet[M]:
        if self.sort_column is None:
            # Rows that are equal in the usual order would change places between two pages.
            usual = queryset.query.order_by or queryset.model._meta.ordering or ()
            return queryset.order_by(*usual, "pk")
        fields: tuple[Any, ...] = self.sort_column.sort
        if self.sort.startswith("-"):
            fields = tuple(name.removeprefix("-") if name.startswith("-") else f"-{name}" for name in fields)
            if self.sort_column.downwards is not None:
                fields = (self.sort_column.downwards, *fields[1:])
        return queryset.order_by(*fields, "pk")

    @cached_property
    def sort(self) -> str:
        """The wanted order as the address says it: a column's key, with - for descending; empty for the usual one."""
        wanted = self.request.GET.get("sort", "")
        known = {column.key for column in self.columns if column.sort}
        return wanted if wanted.removeprefix("-") in known else ""

    @property
    def sort_column(self) -> Column | None:
        """The column that the list is sorted by."""
        return next(
            (column for column in self.columns if column.key == self.sort.removeprefix("-") and column.sort), None
        )

    @property
    def sort_choices(self) -> list[tuple[str, str]]:
        """Every order that the list offers, for a select."""
        choices = [("", "As usual")]
        for column in self.columns:
            if column.sort:
                choices += [(column.key, column.heading), (f"-{column.key}", f"{column.heading}, descending")]
        return choices

    @property
    def headings(self) -> list[Heading]:
        """The columns' headings in order."""
        return [self._heading(column) for column in self.columns]

    def _heading(self, column: Column) -> Heading:
        if not column.sort:
            return Heading(column, "", "")
        if self.sort == column.key:
            return Heading(column, f"-{column.key}", "ascending")
        order: Literal["", "descending"] = "descending" if self.sort == f"-{column.key}" else ""
        return Heading(column, column.key, order)

    @cached_property
    def page(self) -> Page[M]:
        """The page that the address asks for; the nearest one when there is no such page."""
        asked = self.request.GET.get("page", "1")
        number = int(asked) if asked.isascii() and asked.isdecimal() and len(asked) < 10 else 1
        return CountedPages(self.queryset, PAGE_SIZE, number).get_page(asked)

    @cached_property
    def rows(self) -> list[Row]:
        """The rows of this page."""
        return self._rows(list(self.page.object_list))

    @property
    def is_filtered(self) -> bool:
        """Whether somebody asked for less than everything."""
        names = self.filter.form.fields if self.filter else ()
        return any(self.request.GET.get(name) for name in names)

    def _rows(self, objects: Sequence[M]) -> list[Row]:
        if self.prepare is not None:
            self.prepare(objects)
        return [Row(each, [self._cell(column, each) for column in self.columns]) for each in objects]

    def _cell(self, column: Column, row: M) -> Cell:
        return Cell(column, column.value(row), column.link(row) if column.link else "", column.units(row))

    def table(self) -> Table:
        """Return what is shown, on all pages, as a table whose rows are read while it is written."""
        return Table(self.name, [TableColumn(column.heading, column.unit) for column in self.columns], self._all_rows())

    def _all_rows(self) -> Iterator[list[Any]]:
        objects = self.queryset.iterator(chunk_size=EXPORT_CHUNK)
        while stretch := list(islice(objects, EXPORT_CHUNK)):
            for row in self._rows(stretch):
                yield [cell.value for cell in row.cells]

    def response(self, template: str, context: Mapping[str, Any] | None = None) -> HttpResponseBase:
        """Return the page with `listing` in its context, or the export when the address asks for it."""
        match export_asked(self.request):
            case "csv":
                return csv_response(self.table())
            case "xlsx":
                return xlsx_response([self.table()], name=self.name)
        return render(self.request, template, {"listing": self, **(context or {})})
