"""What a rack's tally holds."""

from dataclasses import dataclass

from registry.engineering.checks import Check, Verdict, worst_check


@dataclass(frozen=True, slots=True)
class Tally:
    """A sum over the items of a rack: of those known, None when none is, and the labels of those that are not."""

    total: float | None
    unknown: tuple[str, ...]

    @property
    def at_least(self) -> str:
        """What to write before the figure when it is a sum of the known only."""
        return "at least " if self.unknown else ""


@dataclass(frozen=True, slots=True)
class RackLoad:
    """The figures of a rack; sums are of what is known ("at least" where `unknown` names items), None when nothing is.

    used_u: units taken on any face. free_u: the rest, below 0 when more is claimed than there is. weight_kg, idle_w,
    max_w: sums. heat_btu_h: all of max_w as heat. current_a: of max_w at the circuit's voltage, power factor 1.
    circuit_limit_a: 80 % of the circuit. ups_minutes: at max_w, by energy balance only. unknown: labels of the items
    that each sum lacks.
    """

    used_u: int | None
    free_u: int | None
    weight_kg: float | None
    idle_w: float | None
    max_w: float | None
    heat_btu_h: float | None
    current_a: float | None
    circuit_limit_a: float | None
    ups_minutes: float | None
    unknown: dict[str, tuple[str, ...]]
    checks: tuple[Check, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst verdict: fail before unknown before warn before pass."""
        return worst_check(self.checks).verdict

    @property
    def says(self) -> str:
        """The sentence of the check that decides."""
        return worst_check(self.checks).says
