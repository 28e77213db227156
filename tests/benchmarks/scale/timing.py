"""Takes the time of a page on both registers, turn about, so that what else the machine does falls on both."""

import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections
from django.http import HttpResponseBase
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from tests.benchmarks.scale.databases import LARGE, Registers


@dataclass(frozen=True, slots=True)
class Timed:
    """One page for one person: median milliseconds of a processor on either register, queries on the large one."""

    address: str
    person: str
    small_ms: float
    large_ms: float
    queries: int
    slowest: str

    @property
    def ratio(self) -> float:
        """How many times as long the page takes on the large register."""
        return self.large_ms / self.small_ms


def timed(
    registers: Registers, browsers: Mapping[str, Browser], person: str, address: str, rounds: int
) -> Timed | None:
    """Return the time of a page; None where this person gets no page (led elsewhere, refused, a form's target)."""
    with registers.seen("small"):
        status = fetched(browsers["small"], address).status_code
        if status >= 500:
            raise RuntimeError(f"{address} answered {status} to the {person}")
        if status != 200:
            return None
    with registers.seen(LARGE) as connection, CaptureQueriesContext(connection) as caught:
        fetched(browsers[LARGE], address)
        queries = list(caught.captured_queries)
    taken: dict[str, list[float]] = {"small": [], LARGE: []}
    for _ in range(rounds):
        for size, times in taken.items():
            with registers.seen(size):
                started = processor_ms(connections[DEFAULT_DB_ALIAS])
                fetched(browsers[size], address)
                times.append(processor_ms(connections[DEFAULT_DB_ALIAS]) - started)
    slowest: Any = max(queries, key=lambda query: float(query["time"]), default={"sql": "", "time": 0})
    told = f"{slowest['time']} s {slowest['sql']}"
    return Timed(address, person, median(taken["small"]), median(taken[LARGE]), len(queries), told)


def processor_ms(connection: Any) -> float:
    """Return what this process and, on PostgreSQL, its server process have used of a processor until now.

    Unlike the clock it doesn't count what other programs do meanwhile. SQLite works in this process. Where Linux's
    own count of a process isn't to be had, the clock is taken.
    """
    if connection.vendor == "sqlite":
        return time.process_time() * 1000
    pid = connection.connection.info.backend_pid if connection.connection else 0
    counted = Path(f"/proc/{pid}/schedstat")
    if not counted.exists():
        return time.perf_counter() * 1000
    return time.process_time() * 1000 + int(counted.read_text().split()[0]) / 1e6


def fetched(browser: Browser, address: str) -> HttpResponseBase:
    """Fetch a page whole, files too."""
    answer = browser.get(address)
    if getattr(answer, "streaming", False):
        b"".join(answer)  # type: ignore[call-overload]
    return answer
