"""A check, its verdict, and which of several counts."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

Verdict: TypeAlias = Literal["pass", "warn", "fail", "unknown"]

WORST_FIRST: Final[tuple[Verdict, ...]] = ("fail", "unknown", "warn", "pass")


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was judged: a short code, the verdict, and one sentence with the figures."""

    code: str
    verdict: Verdict
    says: str


def worst_check(checks: Sequence[Check]) -> Check:
    """The check that decides: fail before unknown before warn before pass; the first of equals.

    Parameters:
        checks: at least one.
    Returns:
        The deciding check.
    Raises:
        ValueError: no checks.
    Source: ours; an unknown ranks above a warning because it may hide a fail.

    >>> worst_check([Check("load", "pass", "fine"), Check("power", "warn", "too much")]).verdict
    'warn'
    """
    if not checks:
        raise ValueError("checks must hold at least one check, got none")
    return min(checks, key=lambda check: WORST_FIRST.index(check.verdict))
