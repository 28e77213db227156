"""The shape of what needs somebody."""

from typing import Any, NamedTuple

SHOWN = 5


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
