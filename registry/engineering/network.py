"""Networks of resistors in series and parallel, solved exactly."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

Tree: TypeAlias = "Resistor | Series | Parallel"


@dataclass(frozen=True, slots=True)
class Resistor:
    """A leaf of the tree: a loudspeaker, a piece of cable, an open (`inf`) or a short (`0`).

    ohm: resistance or modulus of impedance [Ω], 0 to inf. label: any text, for the reader of the result.
    """

    ohm: float
    label: str = ""

    def __post_init__(self) -> None:
        if not self.ohm >= 0:
            raise ValueError(f"ohm must be 0 (a short) up to inf (an open), got {self.ohm}; leave unknown parts out")


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Series:
    """Parts one after the other: the same current flows through all. At least one part."""

    parts: Sequence[Tree]

    def __post_init__(self) -> None:
        object.__setattr__(self, "parts", _frozen(self.parts))


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Parallel:
    """Parts side by side: the same voltage lies across all. At least one part."""

    parts: Sequence[Tree]

    def __post_init__(self) -> None:
        object.__setattr__(self, "parts", _frozen(self.parts))


@dataclass(frozen=True, slots=True)
class LeafLoad:
    """What one leaf gets: volts across it [V], amperes through it [A], watts turned into heat or sound in it [W]."""

    label: str
    ohm: float
    volts: float
    amperes: float
    watts: float


def impedance(tree: Tree) -> float:
    """Impedance of the whole network: Z = ΣZi in series, 1/Z = Σ1/Zi in parallel.

    Parameters:
        tree: leaves of 0 to inf [Ω], nested to any depth.
    Returns:
        Impedance [Ω]; 0 for a short circuit, inf for an open one.
    Raises:
        ValueError: a leaf below 0 or nan, or a group without parts (when the tree is built).
    Source: OpenStax, College Physics 2e, "Resistors in Series and Parallel".

    >>> round(impedance(Series([Resistor(1), Parallel([Resistor(6), Resistor(13)])])), 3)
    5.105
    """
    return _impedances(tree)[id(tree)]


def solve(tree: Tree, volts: float) -> tuple[LeafLoad, ...]:
    """Volts, amperes and watts of every leaf, left to right, with `volts` across the whole network.

    Two passes: impedances from the leaves up, then voltage and current from the top down. The watts of the leaves add
    up to volts²/impedance. Where the laws leave a choice the limit for equal parts is taken: shorts in parallel share
    the current evenly, opens in series share the voltage evenly.

    Parameters:
        tree: as for `impedance`.
        volts: 0 or more, finite [V].
    Returns:
        One LeafLoad per leaf, in order.
    Raises:
        ValueError: volts out of range; or the network as a whole is a short circuit, which no finite current answers.
    Source: OpenStax, College Physics 2e, "Resistors in Series and Parallel".

    >>> [round(leaf.watts, 2) for leaf in solve(Series([Resistor(8), Resistor(8)]), volts=28.284)]
    [25.0, 25.0]
    """
    if not 0 <= volts < math.inf:
        raise ValueError(f"volts must be 0 or more and finite, got {volts}")
    ohms = _impedances(tree)
    if ohms[id(tree)] == 0 and volts > 0:
        raise ValueError(f"the network is a short circuit (0 Ω): the current at {volts:g} V has no finite value")
    leaves: list[LeafLoad] = []
    waiting: list[tuple[Tree, float, float]] = [(tree, volts, _quotient(volts, ohms[id(tree)]))]
    while waiting:
        node, across, through = waiting.pop()
        if isinstance(node, Resistor):
            leaves.append(LeafLoad(node.label, node.ohm, across, through, across * through))
        elif isinstance(node, Series):
            waiting += reversed(_in_series(node, across, through, ohms))
        else:
            waiting += reversed(_in_parallel(node, across, through, ohms))
    return tuple(leaves)


def _frozen(parts: Sequence[Tree]) -> tuple[Tree, ...]:
    if not parts:
        raise ValueError("a group needs at least one part; leave an empty group out, or use Resistor(inf)")
    return tuple(parts)


def _impedances(tree: Tree) -> dict[int, float]:
    """Impedance of every node by identity; a loop, so that a chain of any length fits the stack."""
    nodes: list[Tree] = []
    waiting: list[Tree] = [tree]
    while waiting:
        node = waiting.pop()
        nodes.append(node)
        if not isinstance(node, Resistor):
            waiting += node.parts
    ohms: dict[int, float] = {}
    for node in reversed(nodes):
        if isinstance(node, Resistor):
            ohms[id(node)] = node.ohm
        elif isinstance(node, Series):
            ohms[id(node)] = math.fsum(ohms[id(part)] for part in node.parts)
        else:
            ohms[id(node)] = _parallel([ohms[id(part)] for part in node.parts])
    return ohms


def _parallel(ohms: list[float]) -> float:
    if 0 in ohms:
        return 0.0
    siemens = math.fsum(1 / ohm for ohm in ohms)
    return 1 / siemens if siemens else math.inf


def _quotient(volts: float, ohm: float) -> float:
    return volts / ohm if ohm else 0.0


def _in_series(node: Series, across: float, through: float, ohms: dict[int, float]) -> list[tuple[Tree, float, float]]:
    opens = sum(math.isinf(ohms[id(part)]) for part in node.parts)
    if opens:
        return [(part, across / opens if math.isinf(ohms[id(part)]) else 0.0, 0.0) for part in node.parts]
    return [(part, through * ohms[id(part)], through) for part in node.parts]


def _in_parallel(
    node: Parallel, across: float, through: float, ohms: dict[int, float]
) -> list[tuple[Tree, float, float]]:
    shorts = sum(ohms[id(part)] == 0 for part in node.parts)
    if shorts:
        return [(part, 0.0, through / shorts if ohms[id(part)] == 0 else 0.0) for part in node.parts]
    return [(part, across, across / ohms[id(part)]) for part in node.parts]
