"""How often the true fault is found, by kind of fault: simulated faults on random lines, a phone at fixed spots.

python -m tests.benchmarks.diagnosis [--quick] [--cases 200] [--seed 1]

The simulation is apart from the code under test. Two faults are twins where no reading tells them from each other at
all, and rivals where the readings tell them apart by less than three standard uncertainties of the phone. A case
without rivals is clear: its rank counts the faults that come before the true one and its twins. A case with rivals
should name the true fault among those that the readings do not tell from the first; "group" is how many it names,
"alike" how many there are. The second table begins with the spot of every zone where the fault is heard most, and takes
the readings that the diagnosis asks for, levels and impedances, until it asks for none.
"""

import argparse
import random
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import get_args

from registry.engineering.diagnosis import Diagnosis, ImpedanceReading, Site, SpotReading, SuspectKind, diagnose
from tests.engineering.diagnosis_cases import Case, distances, measured, random_case, random_site, read, true_levels

TWIN, RIVAL = 0.1, 3.0


@dataclass(frozen=True)
class Trial:
    """One simulated fault: could the readings tell it, its rank, was it named with the first group, readings taken."""

    kind: str
    clear: bool
    rank: int
    named: bool
    group: int
    alike: int
    taken: int
    seconds: float


def trial(kind: str, dice: random.Random, *, follow: bool) -> Trial | None:
    """Break one thing on a random site, read its spots (or what the diagnosis asks for), and look for the fault."""
    site = random_site(dice)
    case = random_case(site, kind, dice)
    if case is None:
        return None
    levels = read(site, case, dice)
    readings = complained_of(site, case, levels) if follow else levels
    impedances: list[ImpedanceReading] = []
    start = time.perf_counter()
    found = diagnose(site, readings=readings)
    while follow and found.next_reading:
        if found.next_reading.what == "level":
            readings = [*readings, next(r for r in levels if r.spot == found.next_reading.where)]
        else:
            impedances.append(measured(site, case, found.next_reading.where, dice))
        found = diagnose(site, readings=readings, impedances=impedances)
    taken = len(readings) + len(impedances)
    return _judged(case, found, distances(site, case, impedances=follow), taken=taken, start=start)


def complained_of(site: Site, case: Case, levels: list[SpotReading]) -> list[SpotReading]:
    """Of every zone, the spot where the fault is heard most: that is where people complain."""
    change = abs(true_levels(site, case) - true_levels(site, Case("no fault", ""))).tolist()
    zones = dict.fromkeys(spot.zone for spot in site.spots)
    most = [max((c, n) for n, c in enumerate(change) if site.spots[n].zone == zone)[1] for zone in zones]
    return [levels[n] for n in most]


def _judged(case: Case, found: Diagnosis, apart: dict[tuple[str, str], float], *, taken: int, start: float) -> Trial:
    seconds = time.perf_counter() - start
    twins = {case.key} | {key for key, distance in apart.items() if distance < TWIN}
    first = {(fault.kind, fault.where) for fault in found.groups[0].faults}
    order = sorted((f for group in found.groups for f in group.faults), key=lambda f: -f.probability)
    rank = 1 + next(n for n, fault in enumerate(order) if (fault.kind, fault.where) in twins)
    rivals = sum(TWIN <= distance < RIVAL for distance in apart.values())
    alike = len(twins) + rivals
    return Trial(case.kind, rivals == 0, rank, case.key in first, len(first), alike, taken, seconds)


def trials(cases: int, seed: int, *, follow: bool = False) -> Iterator[Trial]:
    """Some cases of every kind of fault, the same on every run."""
    for kind in get_args(SuspectKind):
        dice = random.Random(f"{seed} {kind}")
        done = 0
        while done < cases:
            made = trial(kind, dice, follow=follow)
            if made:
                done += 1
                yield made


def _share(some: list[bool]) -> str:
    return f"{sum(some) / len(some):.1%}" if some else "-"


def row(name: str, made: list[Trial]) -> str:
    """One line of the table."""
    clear, like = [one for one in made if one.clear], [one for one in made if not one.clear]
    columns = (
        str(len(made)),
        str(len(clear)),
        _share([one.rank == 1 for one in clear]),
        _share([one.rank <= 3 for one in clear]),
        _share([one.named for one in clear]),
        str(len(like)),
        _share([one.named for one in like]),
        f"{statistics.median(one.group for one in made):.0f}",
        f"{statistics.median(one.alike for one in made):.0f}",
        f"{statistics.mean(one.taken for one in made):.1f}",
    )
    return f"{name:<22}" + "".join(f"{text:>9}" for text in columns)


def table(title: str, made: list[Trial]) -> None:
    """Print one table, kind by kind."""
    names = ("cases", "clear", "first", "in three", "named", "unclear", "named", "group", "alike", "readings")
    print(f"{title}\n{'fault':<22}" + "".join(f"{name:>9}" for name in names))
    for kind in get_args(SuspectKind):
        print(row(kind, [one for one in made if one.kind == kind]))
    print(row("all", made), flush=True)


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="20 cases of each kind")
    parser.add_argument("--cases", type=int, default=200, help="cases of each kind")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    cases = 20 if given.quick else given.cases
    made = list(trials(cases, given.seed))
    table("A phone at every spot", made)
    table(
        "\nThe spot of every zone that people complain of, then what the diagnosis asks for",
        list(trials(cases, given.seed, follow=True)),
    )
    print(f"\none diagnosis: {1000 * statistics.median(one.seconds for one in made):.0f} ms")


if __name__ == "__main__":
    main()
