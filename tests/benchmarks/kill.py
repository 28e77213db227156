"""Kill −9 a process in the middle of imports, freezes, photos, documents and offline entries, and look at what is left.

`python -m tests.benchmarks.kill` kills 200 times, `--quick` six times: on SQLite, or on the server of DATABASE_URL in a
database of its own. Exits with 1 when anything acknowledged is gone or anything is there by half.
"""

import argparse
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

NAME = "evenkeel_kill"


@dataclass
class Tally:
    """What was seen over all runs."""

    acks: list[tuple[str, Any]] = field(default_factory=list)
    killed_in: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    kept_unsaid: int = 0


def main() -> None:
    """Run it and print one table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--quick", action="store_true")
    options = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="evenkeel-kill-"))
    try:
        tally = _killed(_scratch(folder), 6 if options.quick else options.runs)
    finally:
        _remove(folder)
    sys.exit(1 if tally.faults else 0)


def _scratch(folder: Path) -> str:
    """Set the settings up for a scratch database, lay it out, and return its kind."""
    url = os.environ.get("DATABASE_URL", "")
    if url.startswith("postgres"):
        import psycopg

        with psycopg.connect(url, autocommit=True) as server:
            server.execute(f"DROP DATABASE IF EXISTS {NAME} WITH (FORCE)")  # type: ignore[arg-type]
            server.execute(f"CREATE DATABASE {NAME}")  # type: ignore[arg-type]
        os.environ["EVENKEEL_SERVER"], url = url, url.rpartition("/")[0] + f"/{NAME}"
    else:
        url = f"sqlite:///{folder}/kill.sqlite3"
    os.environ |= {"DATABASE_URL": url, "EVENKEEL_DEBUG": "true", "EVENKEEL_MEDIA": str(folder / "media")}
    os.environ["DJANGO_SETTINGS_MODULE"] = "registry.settings"
    import django

    django.setup()
    import logging

    from django.core.management import call_command

    logging.disable(logging.INFO)
    call_command("migrate", verbosity=0)
    return url.split(":")[0]


def _remove(folder: Path) -> None:
    from django.db import connections

    connections.close_all()
    shutil.rmtree(folder)
    if server := os.environ.get("EVENKEEL_SERVER"):
        import psycopg

        with psycopg.connect(server, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {NAME} WITH (FORCE)")  # type: ignore[arg-type]


def _killed(kind: str, runs: int) -> Tally:
    from tests.faults import judging, writing

    writing.prepare()
    tally, began = Tally(), time.monotonic()
    for number in range(runs):
        _run(number, tally)
        tally.faults += judging.halves(number)
    tally.faults += [f"gone: {what}" for what in judging.missing(tally.acks)]
    tally.faults += judging.halves() + judging.faults_of_the_file()
    swept = _sweep(tally)
    print(f"{kind}: {runs} kills in {time.monotonic() - began:.0f} s, in the middle of {dict(tally.killed_in)}")
    print(f"acknowledged: {dict(Counter(kind for kind, _ in tally.acks))}")
    print(f"entries kept but not yet acknowledged, and sent again: {tally.kept_unsaid}; files without a row: {swept}")
    print(f"faults: {tally.faults or 'none'}")
    return tally


def _run(number: int, tally: Tally) -> None:
    """Start a process that writes, kill it, and send its last entry again."""
    from django.db import connections

    from tests.faults import writing

    connections.close_all()
    reads, writes = os.pipe()
    if not (child := os.fork()):
        try:
            writing.work(number, writes)
        except Exception:
            traceback.print_exc()
        finally:
            os._exit(3)  # only a kill ends it well
    os.close(writes)
    with os.fdopen(reads, "rb") as told:
        first = told.readline()
        time.sleep(random.Random(number).uniform(0, 0.8))
        os.kill(child, signal.SIGKILL)
        lines = [json.loads(line) for line in [first, *told.readlines()] if line.endswith(b"\n")]
    if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != -signal.SIGKILL:
        tally.faults.append(f"run {number} ended by itself")
    tally.acks += [(kind, what) for word, kind, what in lines if word == "acknowledged"]
    if lines and lines[-1][0] == "begun":
        _after(lines[-1][1], lines[-1][2], tally)


def _after(kind: str, name: str, tally: Tally) -> None:
    from sites.models import User
    from tests.faults.writing import send_entry

    tally.killed_in[kind] += 1
    if kind == "entry":
        again = send_entry(name, User.objects.get(username="killed"))
        tally.kept_unsaid += again.again
        tally.acks.append(("entry", [name, again.answer]))


def _sweep(tally: Tally) -> int:
    """Sweep as if it were tomorrow; afterwards files and rows are the same."""
    from registry.backups.media import named_files, sweep_unclaimed_files
    from tests.faults import judging

    root = Path(os.environ["EVENKEEL_MEDIA"])
    for path in root.rglob("*"):
        os.utime(path, (0, 0))
    swept = sweep_unclaimed_files()
    if judging.files() != named_files():
        tally.faults.append("files and rows differ after the sweep")
    return swept


if __name__ == "__main__":
    main()
