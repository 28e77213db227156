"""The order of the work: write, copy, measure, print."""

import argparse
import logging
import re
import time
from collections import Counter
from collections.abc import Iterator
from typing import Any

from django.test import Client as Browser

from registry.audio.models import Zone
from registry.baselines.models import Reading
from registry.demo.garden_centre import CODE
from registry.equipment.models import Item
from sites.models import Client, Site, User
from tests.benchmarks.scale.base import CLIENTS, write_base
from tests.benchmarks.scale.beside import compared
from tests.benchmarks.scale.copies import multiply
from tests.benchmarks.scale.databases import LARGE, Registers
from tests.benchmarks.scale.load import HEADING, load
from tests.benchmarks.scale.pages import addresses
from tests.benchmarks.scale.tables import beside_told, pages_told
from tests.benchmarks.scale.timing import Timed, timed

PEOPLE = ("manager", "owner")


def measure(options: argparse.Namespace) -> None:
    """Measure all and print it."""
    logging.disable(logging.WARNING)
    registers = Registers()
    if options.kept:
        registers.open()
    else:
        _write(registers, 2 if options.quick else max(2, options.clients // CLIENTS))
    try:
        rounds = 1 if options.quick else options.rounds
        found = list(_timed(registers, rounds, options.only))
        print(pages_told(found, shown=options.shown, with_sql=options.sql))
        if options.beside or options.quick:
            with registers.seen(LARGE) as connection:
                print(beside_told(compared(connection, _browser("manager"), rounds)))
        if seconds := options.load or (20 if options.quick else 0):
            _load(registers, seconds)
    finally:
        if not options.keep:
            registers.drop()


def _write(registers: Registers, times: int) -> None:
    started = time.perf_counter()
    registers.create(write_base)
    with registers.seen(LARGE):
        multiply(times)
        took = time.perf_counter() - started
        print(f"{_sizes()}, written in {took:.0f} s on {registers.small.vendor}\n", flush=True)


def _load(registers: Registers, seconds: int) -> None:
    with registers.seen(LARGE) as connection:
        sessions = {name: _browser(name).cookies["sessionid"].value for name in PEOPLE}
        connection.close()
        loaded = load(connection, sessions, CODE, seconds)
    print(f"\n{HEADING}\n{loaded.told()}")
    for fault, number in Counter(loaded.faults).most_common(5):
        print(f"{number} × {fault}")
    if loaded.faults:
        raise SystemExit(f"{len(loaded.faults)} answers were errors")


def _browser(name: str) -> Browser:
    browser = Browser(HTTP_HOST="localhost", raise_request_exception=False)
    browser.force_login(User.objects.get(username=name))
    return browser


def _sizes() -> str:
    counted: tuple[tuple[Any, str], ...] = (
        (Client, "clients"), (Site, "sites"), (Zone, "zones"), (Item, "items"), (Reading, "readings"),
    )  # fmt: skip
    return ", ".join(f"{model._base_manager.count():,} {word}" for model, word in counted)


def _timed(registers: Registers, rounds: int, only: str) -> Iterator[Timed]:
    browsers: dict[str, dict[str, Browser]] = {}
    for size in ("small", LARGE):
        with registers.seen(size):
            for name in PEOPLE:
                browsers.setdefault(name, {})[size] = _browser(name)
    for address in [each for each in addresses() if re.search(only, each)]:
        for person, pair in browsers.items():
            found = timed(registers, pair, person, address, rounds)
            if found is not None:
                yield found
