"""How fast fold plans are found, against a general solver in the same run, and how the time grows with the zones.

python -m tests.benchmarks.folding [--quick] [--seconds 60]
"""

import argparse
import statistics
import sys
import time
from collections.abc import Callable
from typing import TypeVar

from registry.engineering.folding import AmplifierType, FoldPlan, FoldZone, Mode, Weights, fold
from tests.engineering.folding_cases import TWO_CHANNELS, library, random_zones
from tests.engineering.folding_solver import integer_program

Found = TypeVar("Found")

WEIGHTS = Weights(shared_fate=0.0)  # pairs of zones are no linear cost, so the general solver cannot count them
TWO_OHM = AmplifierType("Two channels, 2 Ω", (Mode("mono", 2, 2.0),))


def timed(work: Callable[[], Found], runs: int) -> tuple[Found, float]:
    """The result, and the median of the wall times [s]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        found = work()
        times.append(time.perf_counter() - start)
    return found, statistics.median(times)


def best_plan(zones: list[FoldZone], amplifier: AmplifierType, *, explain: bool) -> FoldPlan:
    """The best plan of a site that is known to have one."""
    best = fold(zones, [amplifier], weights=WEIGHTS, explain=explain).best
    if best is None:
        raise SystemExit("a benchmark site has no fold plan")
    return best


def compare(name: str, zones: list[FoldZone], seconds: float) -> bool:
    """Print one row: both optima, both times, their ratio; False where the optima differ."""
    plan, ours = timed(lambda: best_plan(zones, TWO_CHANNELS, explain=False), 3)
    _, explained = timed(lambda: best_plan(zones, TWO_CHANNELS, explain=True), 1)
    found, theirs = timed(lambda: integer_program(zones, TWO_CHANNELS.modes[0], WEIGHTS, seconds=seconds), 1)
    solved = found.status == 0
    value = f"{found.fun:.3f}" if found.fun is not None else "none"
    same = not solved or abs(found.fun - plan.penalty) < 1e-3
    verdict = "same optimum" if solved and same else "DIFFERENT" if solved else f"stopped, gap {found.mip_gap or 1:.0%}"
    ratio = f"{'' if solved else '> '}{theirs / ours:.0f}"
    columns = (f"{plan.penalty:.3f}", value, f"{ours:.3f}", f"{explained:.3f}", f"{theirs:.3f}", ratio)
    print(f"{name:<28}" + "".join(f"{text:>13}" for text in columns) + f"  {verdict}", flush=True)
    return same


def growth(sizes: list[int], seeds: int) -> None:
    """Print how the time grows: ordinary sites, and light loads where nearly every group is possible."""
    print("\nGrowth, one class, median of the seeds [s]")
    print(f"{'zones':>5}{'±2 dB, 4 Ω':>14}{'with reasons':>14}{'±4 dB, 2 Ω':>14}{'with reasons':>14}", flush=True)
    for count in sizes:
        row = []
        for tolerance_db, amplifier in ((2.1, TWO_CHANNELS), (4.1, TWO_OHM)):
            for explain in (False, True):
                times = [
                    timed(lambda z=zones, a=amplifier, e=explain: best_plan(z, a, explain=e), 1)[1]
                    for zones in (random_zones(count, seed, tolerance_db=tolerance_db) for seed in range(seeds))
                ]
                row.append(statistics.median(times))
        print(f"{count:>5}" + "".join(f"{value:>14.3f}" for value in row), flush=True)


def main() -> int:
    """Run and print; 1 when the two solvers disagree anywhere."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="small sites only")
    parser.add_argument("--seconds", type=float, default=60.0, help="limit for the general solver on each site")
    given = parser.parse_args()
    sizes = [4, 6, 8] if given.quick else [4, 6, 8, 10, 12, 14]
    names = ("site", "ours", "general", "plan s", "+reasons s", "general s", "ratio")
    print(f"{names[0]:<28}" + "".join(f"{name:>13}" for name in names[1:]), flush=True)
    same = compare("branch library, ±2.1 dB", library(2.1, control_db=9.0), given.seconds)
    for count in sizes:
        for seed in (1, 2):
            same &= compare(f"{count} zones, seed {seed}", random_zones(count, seed), given.seconds)
    growth(sizes if given.quick else [*sizes, 15, 16], 3 if given.quick else 5)
    return 0 if same else 1


if __name__ == "__main__":
    sys.exit(main())
