"""Two workers of the server the register is run with, under a steady load of people who read, on loopback."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection
from itertools import cycle
from pathlib import Path
from statistics import linear_regression, quantiles
from typing import Any

PORT = 8116
WORKERS, PEOPLE = 2, 4
BETWEEN_S = 0.4  # from an answer to the same person's next request
EVERY_S = 5  # the workers' memory is read so often
PAGES = (
    *("/", "/sites/", "/sites/?drift=yes", "/sites/{code}/", "/sites/{code}/drift/", "/sites/{code}/baselines/"),
    *("/zones/1/", "/lines/1/", "/equipment/", "/equipment/?page=7", "/items/1/", "/lines/?verdict=fail"),
    *("/zones/?drift=out", "/visits/", "/visits/1/", "/findings/", "/search/?q=sallow", "/baselines/1/"),
    *("/history/", "/api/v1/items/"),
)


@dataclass
class Loaded:
    """What happened under load: seconds of every answer, faults, and memory over time in MiB."""

    seconds: float = 0.0
    answers: list[float] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    memory: list[tuple[float, float]] = field(default_factory=list)

    def told(self) -> str:
        """Return one line of a table."""
        p95 = quantiles(self.answers, n=20)[-1] if len(self.answers) > 1 else 0.0
        settled = self.memory[len(self.memory) // 5 :] or self.memory
        slope = linear_regression(*zip(*settled, strict=True)).slope * 3600 if len(settled) > 1 else 0.0
        rate = len(self.answers) / self.seconds
        return (
            f"| {self.seconds:.0f} | {len(self.answers)} | {rate:.1f} | {p95 * 1000:.0f} | {len(self.faults)} "
            f"| {settled[0][1]:.0f} | {settled[-1][1]:.0f} | {max(m for _, m in settled):.0f} | {slope:+.1f} |"
        )


HEADING = (
    "| seconds | answers | a second | p95 ms | errors | MiB settled | at the end | highest | MiB an hour |\n"
    "|---:|---:|---:|---:|---:|---:|---:|---:|---:|"
)


def load(connection: Any, sessions: dict[str, str], code: str, seconds: float) -> Loaded:
    """Return what two workers do for `seconds` on this database, asked by people who are signed in."""
    found = Loaded()
    with _served(connection) as pids:
        stop = time.monotonic() + seconds
        people = [
            threading.Thread(target=_read, args=(found, cookie, code, number, stop), daemon=True)
            for number, cookie in _people(sessions)
        ]
        for each in people:
            each.start()
        started = time.monotonic()
        while time.monotonic() < stop:
            time.sleep(min(EVERY_S, seconds / 10))
            found.memory.append((time.monotonic() - started, sum(_resident_mib(pid) for pid in pids())))
        for each in people:
            each.join()
        found.seconds = time.monotonic() - started
    return found


def _people(sessions: dict[str, str]) -> Iterator[tuple[int, str]]:
    turn = cycle(sessions.values())
    return ((number, next(turn)) for number in range(PEOPLE))


def _read(found: Loaded, cookie: str, code: str, number: int, stop: float) -> None:
    """Fetch one page after another; everybody begins at another one."""
    pages = [page.format(code=code) for page in PAGES]
    at = number * len(pages) // PEOPLE
    while time.monotonic() < stop:
        page = pages[at % len(pages)]
        began = time.monotonic()
        status = _status(page, cookie)
        found.answers.append(time.monotonic() - began)
        # An owner isn't shown the log.
        if status not in (200, 403) or (status == 403 and page != "/history/"):
            found.faults.append(f"{status} {page}")
        at += 1
        time.sleep(BETWEEN_S)


def _status(page: str, cookie: str) -> int:
    asked = HTTPConnection("127.0.0.1", PORT, timeout=60)
    try:
        asked.request("GET", page, headers={"Cookie": f"sessionid={cookie}", "Accept": "text/html, application/json"})
        answer = asked.getresponse()
        answer.read()
    except OSError:
        return 0
    finally:
        asked.close()
    return answer.status


@contextmanager
def _served(connection: Any) -> Iterator[Any]:
    """Serve the database, and give what tells the workers' process ids."""
    environment = os.environ | {"DATABASE_URL": _address(connection), "DJANGO_SETTINGS_MODULE": "tests.settings"}
    command = [sys.executable, "-m", "gunicorn", "registry.wsgi:application", "-w", str(WORKERS)]
    server = subprocess.Popen(
        [*command, "-b", f"127.0.0.1:{PORT}", "--timeout", "120", "--log-level", "error"], env=environment
    )
    children = Path(f"/proc/{server.pid}/task/{server.pid}/children")
    try:
        while _status("/health/", "") != 200:
            time.sleep(0.5)
        yield lambda: children.read_text().split()
    finally:
        server.terminate()
        server.wait()


def _address(connection: Any) -> str:
    settings = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{settings['NAME']}"
    secret = f":{settings['PASSWORD']}" if settings["PASSWORD"] else ""
    return f"postgres://{settings['USER']}{secret}@{settings['HOST']}:{settings['PORT'] or 5432}/{settings['NAME']}"


def _resident_mib(pid: str) -> float:
    try:
        lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) / 1024 for line in lines if line.startswith("VmRSS"))
