"""The tables that are printed."""

from collections.abc import Sequence
from statistics import median

from tests.benchmarks.scale.beside import Beside
from tests.benchmarks.scale.timing import Timed

MOST_RATIO, MOST_QUERIES = 1.5, 15


def pages_told(found: Sequence[Timed], *, shown: int, with_sql: bool) -> str:
    """Return the pages that suffer most, one line each, and what holds for all."""
    lines = ["| page | who | small ms | large ms | ratio | queries |", "|---|---|---:|---:|---:|---:|"]
    for each in sorted(found, key=lambda each: -each.ratio)[:shown]:
        times = f"{each.small_ms:.1f} | {each.large_ms:.1f} | {each.ratio:.2f}"
        lines.append(f"| `{each.address}` | {each.person} | {times} | {each.queries} |")
        if with_sql and each.ratio > MOST_RATIO:
            lines.append(f"    {each.slowest[:1500]}")
    return "\n".join([*lines, "", *_summed(found)])


def _summed(found: Sequence[Timed]) -> list[str]:
    if not found:
        return []
    slow = sum(each.ratio > MOST_RATIO for each in found)
    many = sorted({(each.queries, each.address) for each in found if each.queries > MOST_QUERIES}, reverse=True)
    ratio = median(each.ratio for each in found)
    slowest = max(found, key=lambda each: each.large_ms)
    return [
        f"{len(found)} pages; median ratio {ratio:.2f}; {slow} above {MOST_RATIO}; "
        f"slowest on the large one {slowest.large_ms:.0f} ms (`{slowest.address}`).",
        f"{len(many)} above {MOST_QUERIES} queries: {', '.join(f'`{address}` {number}' for number, address in many)}.",
    ]


def beside_told(found: Sequence[Beside]) -> str:
    """Return one line for each comparison."""
    lines = ["", "| page | beside | page ms | other ms | page / other |", "|---|---|---:|---:|---:|"]
    for page, what, page_ms, other_ms in found:
        lines.append(f"| `{page}` | {what} | {page_ms:.1f} | {other_ms:.1f} | {page_ms / other_ms:.2f} |")
    return "\n".join(lines)
