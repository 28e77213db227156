"""Pages of baselines and restores cost the same number of queries with one row as with three."""

from collections.abc import Callable

from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.baselines.models import Restore
from registry.demo.factories import (
    BaselineFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    LineFactory,
    ReadingFactory,
    SettingFactory,
    ZoneFactory,
)
from sites.models import Site, User
from tests.web.audio.conftest import add_loudspeakers
from tests.web.baselines.conftest import read, step
from tests.web.pages import queries_of


def grow(site: Site, number: object) -> None:
    """Give a site one more amplifier with settings, and one more zone with a line and a level."""
    amplifier, zone = FilledPlaceFactory(site=site), ZoneFactory(site=site)
    SettingFactory(record=ConfigurationRecordFactory(place=amplifier))
    add_loudspeakers(LineFactory(site=site, amplifier=amplifier), zone, f"LS-1{number}", f"LS-2{number}")
    ReadingFactory(zone=zone)


def grown(browser: Browser, url: Callable[[], str], add: Callable[[int], object]) -> tuple[int, int]:
    """Return what a page costs with one more row and with three."""
    add(1)
    first = queries_of(browser, url())
    add(2)
    add(3)
    return first, queries_of(browser, url())


def test_freezing_and_comparing(browser: Browser, site: Site) -> None:
    for name in ("baseline-freeze", "baseline-compare", "baselines"):
        BaselineFactory(site=site)
        address = reverse(name, args=[site.code])
        first, third = grown(
            browser, lambda address=address: address, lambda number, name=name: grow(site, f"{name}{number}")
        )
        assert first == third, name


def test_a_baseline_and_its_sheet(browser: Browser, site: Site) -> None:
    for name in ("baseline", "restore-sheet"):

        def newest(name: str = name) -> str:
            return reverse(name, args=[BaselineFactory(site=site).pk])

        first, third = grown(browser, newest, lambda number, name=name: grow(site, f"{name}{number}"))
        assert first == third, name


def worked(browser: Browser, site: Site) -> str:
    """Start a restore, answer a step and read both levels in every zone; return the address of its page."""
    browser.post(reverse("restore-start", args=[BaselineFactory(site=site).pk]))
    restore = Restore.objects.get(signed_at__isnull=True)
    for zone in site.zones.all():
        step(browser, restore, f"zone:{zone.name}:cap", "set", found="100")
        read(browser, restore, zone, "as found")
        read(browser, restore, zone, "as left")
    return reverse("restore", args=[restore.pk])


def test_a_restore(browser: Browser, site: Site, tech: User) -> None:
    grow(site, 1)
    first = queries_of(browser, worked(browser, site))
    Restore.objects.update(signed_at=timezone.now(), signature="T. Tech", signed_by=tech)
    grow(site, 2)
    grow(site, 3)
    assert queries_of(browser, worked(browser, site)) == first
