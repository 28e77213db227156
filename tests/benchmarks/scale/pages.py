"""Every page that there is an object for: from the addresses themselves, so that a new page is measured too."""

import re
from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db.models import Model
from django.urls import URLResolver, get_resolver

from registry.demo.garden_centre import CODE

SITE = CODE  # the richest site of the demo, and the owner's
# The table that a number in an address counts, by the word before it.
TABLES = {
    "people": "client_sites.user",
    "clients": "client_sites.client",
    "sites": "client_sites.site",
    "spaces": "client_sites.space",
    "racks": "client_sites.rack",
    "items": "equipment.item",
    "places": "equipment.place",
    "records": "equipment.configurationrecord",
    "models": "equipment.makemodel",
    "documents": "equipment.document",
    "references": "equipment.secretreference",
    "sweeps": "equipment.networksweep",
    "lines": "audio.line",
    "coils": "audio.coil",
    "loudspeakers": "audio.loudspeaker",
    "zones": "audio.zone",
    "readings": "baselines.reading",
    "baselines": "baselines.baseline",
    "restores": "baselines.restore",
    "measurements": "planning.linemeasurement",
    "fold-plans": "planning.foldplan",
    "commissionings": "planning.commissioning",
    "spot-photos": "planning.spotphoto",
    "visits": "visits.visit",
    "tasks": "visits.visittask",
    "visit-plans": "visits.visitplan",
    "visit-photos": "visits.visitphoto",
    "parts-used": "visits.partused",
    "findings": "visits.finding",
    "calls": "visits.servicecall",
}
# What people do most with a list, besides looking at its first page.
ASKED = {
    "sites/": ("?sort=-zones-out-of-tolerance", "?drift=yes", "?name=site", "?page=2"),
    "clients/": ("?sort=-unsafe-loads",),
    "equipment/": ("?q=s001-0007", "?warranty=90&sort=warranty-until", "?page=5"),
    "zones/": ("?drift=out", "?sort=-drift"),
    "lines/": ("?verdict=fail",),
    "history/": ("?site=1",),
    "search/": ("?q=s001-0007", "?q=02:00:5e", "?q=garden", "?q=zone"),
    "visits/": ("?state=overdue",),
    "findings/": ("?state=open",),
}


def addresses() -> Iterator[str]:
    """Yield the address of every page, with the first object of each table in place of its number."""
    for route in _routes(get_resolver().url_patterns):
        address = _filled(route)
        if address is not None:
            yield f"/{address}"
            yield from (f"/{address}{query}" for query in ASKED.get(address, ()))


def _routes(patterns: list[Any], before: str = "") -> Iterator[str]:
    for pattern in patterns:
        route = f"{before}{pattern.pattern}"
        if isinstance(pattern, URLResolver):
            if pattern.app_name != "admin":
                yield from _routes(pattern.url_patterns, route)
        else:
            yield route.replace("^", "").replace("$", "")


def _filled(route: str) -> str | None:
    """Put objects in; None where an address wants something that no table counts."""
    parts = []
    for part in route.split("/"):
        value = part if "<" not in part else _value(part, parts[-1] if parts else "")
        if value is None:
            return None
        parts.append(value)
    return "/".join(parts)


def _value(part: str, table: str) -> str | None:
    if "code>" in part:
        return SITE + part.partition(">")[2]
    if ":name>" in part:
        return "cable-loss"
    row = _first(TABLES[table]) if table in TABLES else None
    return None if row is None else f"{row.pk}{re.sub('^(<[^>]*>|[(][^)]*[)])', '', part)}"


def _first(label: str) -> Model | None:
    return apps.get_model(label)._base_manager.order_by("pk").first()
