"""Pages of lines and zones cost the same number of queries with one row as with three."""

from collections.abc import Callable

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.demo.factories import BaselineFactory, LineFactory, ReadingFactory, SiteFactory, ZoneFactory
from tests.web.audio.conftest import add_loudspeakers
from tests.web.pages import queries_of


def grown(browser: Browser, url: str, add: Callable[[int], object]) -> tuple[int, int]:
    """Return what a page costs with one more row and with three."""
    add(1)
    first = queries_of(browser, url)
    add(2)
    add(3)
    return first, queries_of(browser, url)


@pytest.mark.parametrize("export", ["", "?export=csv", "?export=xlsx"])
def test_lists(browser: Browser, export: str) -> None:
    for name, factory in (("lines", LineFactory), ("zones", ZoneFactory)):
        first, third = grown(browser, reverse(name) + export, lambda _, make=factory: make(site=SiteFactory()))
        # Two of them ask whether clients and sites are too many for a list.
        assert first == third == (8 if not export else first), name


def test_a_line(browser: Browser, line: Line, zone: Zone) -> None:
    def add(number: int) -> None:
        other = ZoneFactory(site=line.site)
        add_loudspeakers(line, other, f"LS-1{number}")

    first, third = grown(browser, reverse("line", args=[line.pk]), add)
    assert first == third


@pytest.mark.parametrize("export", ["", "?export=csv", "?export=xlsx"])
def test_a_zone(browser: Browser, zone: Zone, export: str) -> None:
    def add(number: int) -> None:
        line = LineFactory(site=zone.site)
        add_loudspeakers(line, zone, f"LS-{number}1", f"LS-{number}2")
        ReadingFactory(zone=zone)
        BaselineFactory(site=zone.site)
        ReadingFactory(zone=zone, replaces=ReadingFactory(zone=zone))

    first, third = grown(browser, reverse("zone", args=[zone.pk]) + export, add)
    assert first == third
