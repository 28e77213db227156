"""How long an owner's report takes, and how time and memory grow with the equipment.

python -m tests.benchmarks.owners_report [--quick]
"""

import argparse
import os
import random
import sys
import time
import tracemalloc
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, TypeVar

Found = TypeVar("Found")
TODAY = date(2026, 11, 25)
MOST_SECONDS = 3.0  # data, PDF and page of 300 items, on one core
MOST_MEGABYTES = 300.0  # of Python objects at 20 000 items
PER_SITE = 200


def prepared() -> None:
    """Set up an empty register in memory."""
    os.environ.update(DJANGO_SETTINGS_MODULE="tests.settings", DATABASE_URL="sqlite://:memory:")
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)


def client_with(count: int) -> Any:
    """Return the scope of a client with `count` items, 200 at a site, each with zones, findings and settings."""
    from registry.demo.factories import ClientFactory, LoudspeakerFactory, MakeModelFactory, SiteFactory, ZoneFactory
    from registry.equipment.models import Item, Place, Placement
    from registry.reports.owners_report import Scope

    dice = random.Random(count)
    client = ClientFactory()
    models = [MakeModelFactory(price=Decimal(dice.randrange(80, 1500))) for _ in range(20)]
    sites = []
    for first in range(0, count, PER_SITE):
        site = SiteFactory(client=client)
        sites.append(site)
        LoudspeakerFactory(zone=ZoneFactory(site=site), site=site)
        numbers = range(first, min(first + PER_SITE, count))
        made = [dice.choice(models) for _ in numbers]
        places = Place.objects.bulk_create(
            Place(site=site, name=f"Place {number}", hostname=f"host-{number}") for number in numbers
        )
        items = Item.objects.bulk_create(
            Item(site=site, tag=f"T-{number}", make=model.make, make_model=model, serial=f"S{count}-{number}")
            for number, model in zip(numbers, made, strict=True)
        )
        Placement.objects.bulk_create(
            Placement(place=place, item=item, installed_on=TODAY - timedelta(days=dice.randrange(6000)))
            for place, item in zip(places, items, strict=True)
        )
    return Scope(client, sites)


def timed(work: Callable[[], Found]) -> tuple[Found, float]:
    """Return the result and the CPU time [s]."""
    start = time.process_time()
    found = work()
    return found, time.process_time() - start


def row(count: int) -> tuple[float, float]:
    """Print one row; return CPU seconds of data and PDF, and the peak of memory [MB]."""
    from registry.reports.owners_report import owners_figures, state_of
    from registry.reports.owners_sheet import owners_sheet
    from registry.reports.owners_tables import owners_tables
    from registry.reports.sheet import sheet_pdf
    from registry.reports.workbook import xlsx_file

    scope = client_with(count)
    figures, data = timed(lambda: owners_figures(scope, today=TODAY, inflation=Decimal(3)))
    pdf, printed = timed(lambda: sheet_pdf(owners_sheet(figures)))
    _, book = timed(lambda: xlsx_file(owners_tables(figures)).close())
    _, state = timed(lambda: state_of(scope))
    tracemalloc.start()
    xlsx_file(owners_tables(owners_figures(scope, today=TODAY))).close()
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    print(f"{count:>8,}{data:>9.2f}{printed:>9.2f}{book:>9.2f}{state:>10.2f}{peak:>10.1f}{len(pdf):>12,}", flush=True)
    return data + printed, peak


def main() -> int:
    """Run; fail when 300 items take too long or 20 000 too much memory."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="up to 2 000 items only")
    quick = parser.parse_args().quick
    prepared()
    row(10)  # warms up
    print(f"\n{'items':>8}{'data s':>9}{'PDF s':>9}{'XLSX s':>9}{'state s':>10}{'peak MB':>10}{'PDF bytes':>12}")
    sizes = [300, 2_000] if quick else [300, 2_000, 20_000]
    found = {count: row(count) for count in sizes}
    slow = found[300][0] > MOST_SECONDS
    large = max(peak for _, peak in found.values()) > MOST_MEGABYTES
    print(f"300 items: {found[300][0]:.2f} s of CPU, {MOST_SECONDS:.0f} s are allowed")
    first, last = sizes[-2:]
    ratio = found[last][0] / found[first][0]
    print(f"{last / first:.0f} times the items take {ratio:.1f} times the CPU time")
    return int(slow or large)


if __name__ == "__main__":
    sys.exit(main())
