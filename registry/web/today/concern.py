"""The shape of what needs somebody."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import islice
from typing import Any, Final, NamedTuple, TypeVar

from django.db.models import Model, QuerySet

SHOWN: Final = 5
M = TypeVar("M", bound=Model)


def first_of(rows: QuerySet[M]) -> QuerySet[M]:
    """Return the first few rows in their order. Only those are joined and counted for; all others are just ordered."""
    return rows.filter(pk__in=rows.values("pk")[:SHOWN])


class Row(NamedTuple):
    """One thing that needs somebody: its name, its page, where it is, and why."""

    name: str
    href: str
    site: Any
    why: str


class Concern(NamedTuple):
    """A kind of thing that needs somebody. `short` stands in the page's first sentence, unless another one says it."""

    heading: str
    short: str
    number: int
    rows: list[Row]
    all_href: str
    caution: str = ""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A kind of thing that may need somebody: its rows in order, and how they are told once every kind is counted.

    `first` is where its first few rows are read, if those of other kinds are read with them.
    """

    heading: str
    short: Callable[[Mapping[str, int]], str]
    rows: QuerySet[Any]
    as_row: Callable[[Any], Row]
    all_href: str
    caution: str = ""
    first: Callable[[], Iterable[Any]] | None = None

    def told(self, number: int, numbers: Mapping[str, int]) -> Concern:
        """Return the concern; `numbers` are the counts of every kind. One query."""
        first = self.first() if self.first else first_of(self.rows)
        rows = [self.as_row(row) for row in islice(first, SHOWN)]
        return Concern(self.heading, self.short(numbers), number, rows, self.all_href, self.caution)
