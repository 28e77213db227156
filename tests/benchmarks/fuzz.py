"""Send mutated surveys and API requests to a register that holds the whole demo, and look at what is left.

    python -m tests.benchmarks.fuzz [--count 100000] [--seed 1] [--quick] [--only NUMBER] [--faults FILE]

Asserts of every case that nothing crashes, that what is refused says why and changes no row, and that what is taken is
taken whole. Case NUMBER of a seed is always the same one. Exits with 1 when anything was found. The database is the
configured one's test database, made and dropped here.
"""

import argparse
import os
import sys
import time
import traceback
from collections import Counter
from pathlib import Path
from typing import Any

import django

LOOKED_AT_EVERY = 250


def main() -> None:
    """Run what was asked for and print one table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--first", type=int, default=0, help="the number of the first case")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="300 cases")
    parser.add_argument("--only", type=int, help="this case alone")
    parser.add_argument("--faults", type=Path, help="write each fault with its traceback to this file as it is found")
    options = parser.parse_args()
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    count = 300 if options.quick else options.count
    numbers = range(options.first, options.first + count) if options.only is None else [options.only]
    sys.exit(1 if _in_demo(options.seed, numbers, options.faults) else 0)


def _in_demo(seed: int, numbers: "range | list[int]", faults: Path | None) -> int:
    import logging

    from django.db import transaction
    from django.utils import timezone

    from registry.demo.loading import load_demo
    from sites.models import Site, User
    from tests.benchmarks.import_survey import in_test_database
    from tests.fuzz.cases import prepare

    logging.disable(logging.CRITICAL)
    found = 0

    def work() -> None:
        nonlocal found
        with transaction.atomic():
            load_demo(today=timezone.localdate())
            cases = prepare(
                seed=seed, by=User.objects.get(username="manager"), site=Site.objects.get(code="sallow-bank")
            )
            found = run(cases, numbers, faults)
            transaction.set_rollback(True)

    in_test_database(work)
    return found


def run(cases: Any, numbers: "range | list[int]", faults: Path | None) -> int:
    """Run cases in turn, telling of progress and faults as they come; return how many faults there were."""
    from tests.fuzz import register
    from tests.fuzz.cases import FaultError

    ended: Counter[tuple[str, str]] = Counter()
    found, began, began_at = 0, time.monotonic(), time.process_time()
    for done, number in enumerate(numbers, 1):
        try:
            outcome = cases.run(number)
            ended[outcome.kind, outcome.word] += 1
        except FaultError as error:
            found += 1
            _tell(faults, f"case {number}: {str(error)[:600]}\n", traceback.format_exc())
        if done % LOOKED_AT_EVERY == 0 or done == len(numbers):
            if not cases.nothing_differs():
                found += 1
                _tell(faults, f"rows differ after case {number}, or up to {LOOKED_AT_EVERY} before it\n", "")
                cases.digest = register.digest()
            _progress(done, len(numbers), found, time.monotonic() - began, ended)
    for (kind, word), times in sorted(ended.items()):
        print(f"{times:>7}  {kind}: {word}")
    spent = f"{time.monotonic() - began:.0f} s ({time.process_time() - began_at:.0f} s of the processor)"
    print(f"{len(numbers)} cases in {spent}, faults: {found or 'none'}", flush=True)
    return found


def _tell(faults: Path | None, says: str, trace: str) -> None:
    print(says, end="", flush=True)
    if faults is not None:
        with faults.open("a") as file:
            file.write(f"{says}{trace}\n")


def _progress(done: int, count: int, found: int, seconds: float, ended: Counter[tuple[str, str]]) -> None:
    if done % (4 * LOOKED_AT_EVERY) == 0 and done < count:
        words: Counter[str] = Counter()
        for (kind, word), times in ended.items():
            words[f"{kind.split()[0].replace('survey,', 'survey')} {word.split()[0].rstrip(',')}"] += times
        told = ", ".join(f"{word} {times}" for word, times in sorted(words.items()))
        print(f"{done} of {count} after {seconds:.0f} s, faults: {found}; {told}", flush=True)


if __name__ == "__main__":
    main()
