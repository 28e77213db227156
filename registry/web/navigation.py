"""The words on top: only those whose pages exist."""

from functools import cache
from typing import NamedTuple

from django.urls import NoReverseMatch, reverse


class Entry(NamedTuple):
    """One word of the navigation and the beginnings of the paths that belong to it."""

    word: str
    url_name: str
    paths: tuple[str, ...]


class Link(NamedTuple):
    """One word as it is shown on a page."""

    word: str
    href: str
    current: bool


MAIN = (
    Entry("Today", "today", ()),
    Entry(
        "Clients",
        "clients",
        (
            "/clients/",
            "/sites/",
            "/spaces/",
            "/racks/",
            "/baselines/",
            "/restores/",
            "/survey/",
            "/commissionings/",
            "/fold-plans/",
            "/spot-photos/",
            "/documents/",
            "/references/",
        ),
    ),
    Entry(
        "Equipment",
        "equipment",
        ("/equipment/", "/items/", "/places/", "/models/", "/lines/", "/coils/", "/zones/", "/readings/", "/records/"),
    ),
    Entry(
        "Visits",
        "visits",
        (
            "/visits/",
            "/visit-plans/",
            "/holidays/",
            "/calendar/",
            "/findings/",
            "/visit-photos/",
            "/parts-used/",
            "/guest-links/",
            "/calls/",
        ),
    ),
    Entry("Workbench", "workbench", ("/workbench/", "/comparator/")),
)
EQUIPMENT = (
    Entry("Items", "equipment", ("/equipment/", "/items/", "/places/", "/records/")),
    Entry("Lines", "lines", ("/lines/", "/coils/")),
    Entry("Zones", "zones", ("/zones/", "/readings/")),
    Entry("Models", "models", ("/models/",)),
)
VISITS = (
    Entry("Visits", "visits", ("/visits/", "/visit-plans/", "/holidays/")),
    Entry("Service calls", "calls", ("/calls/",)),
    Entry("Findings", "findings", ("/findings/",)),
)


def links(entries: tuple[Entry, ...], path: str) -> list[Link]:
    """Return the entries that lead somewhere, the one that `path` belongs to marked."""
    pairs = ((entry, _href(entry.url_name)) for entry in entries)
    return [Link(entry.word, href, path == href or path.startswith(entry.paths)) for entry, href in pairs if href]


@cache
def _href(url_name: str) -> str:
    """Return the address of a page; empty when there is no such page."""
    try:
        return reverse(url_name)
    except NoReverseMatch:
        return ""
