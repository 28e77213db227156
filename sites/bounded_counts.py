"""Counts that end: to count every row of a large table costs more than to show a page of it."""

from typing import TYPE_CHECKING, Any, cast

from django.core.paginator import Paginator
from django.db.models import IntegerField, QuerySet, Subquery
from django.utils.functional import cached_property

COUNTED = 10_000

if TYPE_CHECKING:
    AnyPages = Paginator[Any]
else:
    AnyPages = Paginator


def or_more(count: int) -> str:
    """Return in words a count that ended where it might have gone on.

    >>> or_more(10_000)
    '10,000 or more'
    """
    return f"{count:,} or more"


class CountedPages(AnyPages):
    """Pages of rows that are counted up to `COUNTED`, or a page beyond the one asked for: nobody turns the 400th."""

    def __init__(self, rows: QuerySet[Any], per_page: int, asked: int = 1) -> None:
        super().__init__(rows, per_page)
        self.count_for(asked)

    def count_for(self, asked: int) -> None:
        """Have rows counted to a page beyond this one at least."""
        self.most = max(COUNTED, (asked + 1) * self.per_page)

    @cached_property
    def count(self) -> int:
        """How many rows there are, as far as they are counted."""
        rows = cast("QuerySet[Any]", self.object_list)
        return rows.order_by().values("pk")[: self.most].count()

    @property
    def has_more(self) -> bool:
        """Whether there may be more rows than were counted."""
        return self.count == self.most

    @property
    def number_of_rows(self) -> str:
        """The count in words."""
        return or_more(self.count) if self.has_more else str(self.count)


class CountUpTo(Subquery):
    """How many rows a subquery with a limit has, as an annotation."""

    template = "(SELECT COUNT(*) FROM (%(subquery)s) counted)"
    output_field = IntegerField()
