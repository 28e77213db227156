"""What a line is made of: coils, strings, the channel, and the network they form."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, Protocol, TypeAlias

from registry.engineering.amplifier import Channel
from registry.engineering.cable import Cable, loop_resistance_ohm
from registry.engineering.limits import above_zero, zero_or_more
from registry.engineering.network import Parallel, Resistor, Series, Tree
from registry.engineering.taps import tap_impedance_ohm

LineKind: TypeAlias = Literal["low", "25", "70.7", "100"]

LINE_VOLTS: Final[dict[LineKind, float]] = {"25": 25.0, "70.7": 70.7, "100": 100.0}
# IEC 60268-5 cl. 16.1 (as restated): the modulus may fall to 80 % of the rated impedance.
MINIMUM_SHARE: Final = 0.8


@dataclass(frozen=True, slots=True)
class Coil:
    """One connected input of a loudspeaker, in wiring order.

    impedance_ohm: nominal; min_impedance_ohm: None takes 80 % of nominal (IEC 60268-5). rated_power_w, tap_w, taps_w
    (the taps that the model offers) in watts. All above 0; insertion_loss_db 0 or more; None when not known.
    cable: the piece that feeds this coil from the one before it, or from the amplifier.
    """

    label: str
    coil: str = "1"
    impedance_ohm: float | None = None
    min_impedance_ohm: float | None = None
    rated_power_w: float | None = None
    tap_w: float | None = None
    taps_w: tuple[float, ...] = ()
    insertion_loss_db: float | None = None
    model: str = ""
    cable: Cable | None = None

    def __post_init__(self) -> None:
        if not self.label:
            raise ValueError("label must name the loudspeaker, got an empty text")
        for name in ("impedance_ohm", "min_impedance_ohm", "rated_power_w", "tap_w"):
            value = getattr(self, name)
            if value is not None:
                above_zero(**{f"{name} of {self.label}": value})
        for tap_w in self.taps_w:
            above_zero(**{f"taps_w of {self.label}": tap_w})
        if self.insertion_loss_db is not None:
            zero_or_more(**{f"insertion_loss_db of {self.label}": self.insertion_loss_db})


@dataclass(frozen=True, slots=True)
class String:
    """Coils in order: in series on a low-impedance line, a daisy chain on a constant-voltage line."""

    name: str
    coils: tuple[Coil, ...]

    def __post_init__(self) -> None:
        object.__setattr__(self, "coils", tuple(self.coils))
        if not self.coils:
            raise ValueError(f"string {self.name} has no loudspeaker; leave an empty string out")


class SameCoil(Protocol):
    """Anything that says which coil it is about: a solved coil, a change of level."""

    @property
    def label(self) -> str:
        """Label of the loudspeaker."""

    @property
    def coil(self) -> str:
        """Which of its inputs."""


@dataclass(frozen=True, slots=True)
class LineSpec:
    """Everything that is known of a line: its kind, its strings (in parallel at the channel), and the channel."""

    kind: LineKind
    strings: tuple[String, ...]
    channel: Channel

    def __post_init__(self) -> None:
        object.__setattr__(self, "strings", tuple(self.strings))
        if self.kind != "low" and self.kind not in LINE_VOLTS:
            raise ValueError(f"kind must be low, {', '.join(LINE_VOLTS)}, got {self.kind!r}")
        if not self.strings:
            raise ValueError("a line needs at least one loudspeaker, got none")
        for (label, coil), count in Counter((coil.label, coil.coil) for coil in self.coils).items():
            if count > 1:
                raise ValueError(f"coil {coil} of {label} is on the line {count} times; each coil is connected once")

    @property
    def line_v(self) -> float | None:
        """Nominal line voltage [V], None on a low-impedance line."""
        return None if self.kind == "low" else LINE_VOLTS[self.kind]

    @property
    def coils(self) -> tuple[Coil, ...]:
        """All coils, string by string, in wiring order."""
        return tuple(coil for string in self.strings for coil in string.coils)

    @property
    def names(self) -> dict[tuple[str, str], str]:
        """What to call each coil: its loudspeaker's label, with the coil where several of it are on the line."""
        counts = Counter(coil.label for coil in self.coils)
        return {
            (coil.label, coil.coil): coil.label if counts[coil.label] == 1 else f"{coil.label} coil {coil.coil}"
            for coil in self.coils
        }

    def called(self, coils: Iterable[SameCoil]) -> list[str]:
        """The names of some coils, in the order given."""
        names = self.names
        return [names[coil.label, coil.coil] for coil in coils]


@dataclass(frozen=True, slots=True)
class Piece:
    """A coil as resistors: the cable that feeds it, there and back, and its own load, 0 to inf [Ω]."""

    cable_ohm: float
    load_ohm: float


def load_of(coil: Coil, line_v: float | None, *, minimum: bool = False) -> float | None:
    """The resistance that a coil stands for: its impedance, or on a constant-voltage line V²/P of its tap.

    A loudspeaker without taps on a constant-voltage line stands for its own impedance: it has no transformer.

    Parameters:
        coil: the coil.
        line_v: nominal line voltage, above 0 [V]; None on a low-impedance line.
        minimum: the lowest modulus instead of the nominal one: the coil's own minimum, else 80 % of nominal; on a
            constant-voltage line 80 % of V²/P likewise.
    Returns:
        Load [Ω], or None when it is not known.
    Raises:
        ValueError: line_v out of range.
    Source: IEC 60268-5 cl. 16.1 (as restated) for the 80 %; V²/P is Ohm's law.

    >>> load_of(Coil("LS1", tap_w=6.0), 100.0), load_of(Coil("LS2", impedance_ohm=8.0), None, minimum=True)
    (1666.6666666666667, 6.4)
    """
    if line_v is not None and coil.tap_w is not None:
        nominal: float | None = tap_impedance_ohm(line_v=line_v, tap_w=coil.tap_w)
    elif line_v is not None and coil.taps_w:
        nominal = None
    else:
        nominal = coil.impedance_ohm
        if minimum and coil.min_impedance_ohm is not None:
            return coil.min_impedance_ohm
    return nominal * MINIMUM_SHARE if minimum and nominal is not None else nominal


def pieces(spec: LineSpec, *, minimum: bool = False) -> tuple[tuple[Piece, ...] | None, ...]:
    """Each string as cable and load resistances; None for a string with a load that is not known.

    A piece of cable that is not known counts as 0 Ω, which makes the load on the channel the heavier one.

    Parameters:
        spec: the line.
        minimum: lowest moduli instead of nominal ones, as for `load_of`.
    Returns:
        One tuple of pieces, or None, per string.
    Raises:
        ValueError: nothing beyond what LineSpec refuses.
    Source: ours.

    >>> pieces(LineSpec("low", (String("1", (Coil("LS1", impedance_ohm=8.0),)),), Channel()))
    ((Piece(cable_ohm=0.0, load_ohm=8.0),),)
    """
    return tuple(_string_pieces(string, spec.line_v, minimum) for string in spec.strings)


def string_network(kind: LineKind, string: tuple[Piece, ...]) -> Tree:
    """The network of one string, seen from the channel; its leaves are cable, load, cable, load … in wiring order.

    Parameters:
        kind: low puts everything in series; the others make the ladder S(cable1, P(load1, S(cable2, P(load2, …)))).
        string: at least one piece.
    Returns:
        A tree for `network.impedance` and `network.solve`.
    Raises:
        ValueError: no piece.
    Source: survey format: strings are in parallel, a constant-voltage string is a daisy chain.

    >>> from registry.engineering.network import impedance
    >>> impedance(string_network("100", (Piece(1.0, 1000.0), Piece(1.0, 999.0))))
    501.0
    """
    if not string:
        raise ValueError("a string needs at least one piece, got none")
    if kind == "low":
        return Series([leaf for piece in string for leaf in (Resistor(piece.cable_ohm), Resistor(piece.load_ohm))])
    tree: Tree | None = None
    for piece in reversed(string):
        load: Tree = Resistor(piece.load_ohm)
        tree = Series([Resistor(piece.cable_ohm), load if tree is None else Parallel([load, tree])])
    assert tree is not None
    return tree


def _string_pieces(string: String, line_v: float | None, minimum: bool) -> tuple[Piece, ...] | None:
    found = []
    for coil in string.coils:
        load_ohm = load_of(coil, line_v, minimum=minimum)
        if load_ohm is None:
            return None
        cable_ohm = loop_resistance_ohm(coil.cable) if coil.cable else None
        found.append(Piece(cable_ohm or 0.0, load_ohm))
    return tuple(found)
