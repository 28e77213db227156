"""What a suspect is: a single fault with its share of the calls and the ways it may show."""

import math
from dataclasses import dataclass, field
from typing import Final, Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from registry.engineering.diagnosis_parts import Site

Floats: TypeAlias = npt.NDArray[np.float64]

SuspectKind: TypeAlias = Literal[
    "no fault",
    "coil open",
    "coil shorted",
    "cable open",
    "line open",
    "polarity reversed",
    "channel dead",
    "amplifier dead",
    "dial moved",
    "cap changed",
    "source level changed",
    "source silent",
    "group lost",
]

# How often each kind is met before anything is read, as shares of all calls. Common practice: what drifts most is the
# volume, then the input, then the group; parts that break come after. A share is parted among the suspects of its kind.
PRIORS: Final[dict[SuspectKind, float]] = {
    "no fault": 0.10,
    "coil open": 0.08,
    "coil shorted": 0.03,
    "cable open": 0.08,
    "line open": 0.03,
    "polarity reversed": 0.02,
    "channel dead": 0.05,
    "amplifier dead": 0.06,
    "dial moved": 0.25,
    "cap changed": 0.06,
    "source level changed": 0.10,
    "source silent": 0.07,
    "group lost": 0.07,
}


@dataclass(frozen=True, slots=True)
class Outcome:
    """One way a fault may show: how often, the energy of every coil against the baseline, the impedances that change.

    strained: lines whose channel is overloaded or driven into clipping. hollow: loudspeakers that lose bass together
    with their neighbours. move_db: how far a dial, cap or source was moved; None where nothing was.
    """

    weight: float
    gains: Floats
    impedances: dict[str, float] = field(default_factory=dict)
    strained: frozenset[str] = frozenset()
    hollow: frozenset[str] = frozenset()
    move_db: float | None = None


@dataclass(frozen=True, slots=True)
class Suspect:
    """A fault that may be: its kind, where it would be ("" for the whole site), and the ways it may show."""

    kind: SuspectKind
    where: str
    prior: float
    outcomes: tuple[Outcome, ...]

    @property
    def name(self) -> str:
        """Place and kind in a few words."""
        return f"{self.where}: {self.kind}" if self.where else self.kind


class Coils:
    """The coils of a site in one row, line by line, and what a change of some lines does to them."""

    def __init__(self, site: Site) -> None:
        """Number the coils."""
        self.keys = [(line.name, coil.label, coil.coil) for line in site.lines for coil in line.spec.coils]
        self.labels = np.array([label for _, label, _ in self.keys])
        self._lines = [line for line, _, _ in self.keys]

    def unchanged(self) -> Floats:
        """Every coil as at the baseline."""
        return np.ones(len(self.keys))

    def scaled(self, lines: frozenset[str], change_db: float) -> Floats:
        """The coils of some lines louder by some dB; −inf silences them."""
        ratio = energy_ratio(change_db)
        return np.array([ratio if line in lines else 1.0 for line in self._lines])


def energy_ratio(change_db: float) -> float:
    """Ratio of energies of a change in dB: 10^(dB/10).

    Parameters:
        change_db: −inf is silence [dB].
    Returns:
        Ratio, 0 or more.
    Raises:
        ValueError: nan or +inf.
    Source: definition of a level.

    >>> energy_ratio(10.0), energy_ratio(float("-inf"))
    (10.0, 0.0)
    """
    if math.isnan(change_db) or change_db == math.inf:
        raise ValueError(f"change_db must be a number below infinity, got {change_db}")
    return 0.0 if math.isinf(change_db) else 10.0 ** (change_db / 10.0)
