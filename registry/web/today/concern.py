"""The shape of what needs somebody."""

from typing import Any, NamedTuple, TypeVar

from django.db.models import Model, QuerySet

SHOWN = 5
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
