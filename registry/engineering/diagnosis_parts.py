"""What a diagnosis starts from: the lines, dials and spots of a baseline, and what was read or heard since."""

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from registry.engineering.bounds import in_range
from registry.engineering.dial import Taper, drive_db
from registry.engineering.folding_parts import LifeSafety
from registry.engineering.limits import above_zero
from registry.engineering.line_parts import LineSpec

SymptomKind: TypeAlias = Literal["silent", "quieter", "louder", "distorted", "cuts out when loud", "no bass"]

READING_DB: Final = 0.8  # standard uncertainty of a change, same meter, spot and track: common practice, as in measure
IMPEDANCE_SHARE: Final = 0.05  # relative standard uncertainty of an impedance against its baseline: common practice


@dataclass(frozen=True, slots=True)
class SiteLine:
    """A line with the amplifier that drives it. No measurement at its terminals is offered unless life_safety is "no".

    measured_ohm: impedance measured at its terminals for the baseline, above 0; None when not known.
    """

    name: str
    spec: LineSpec
    amplifier: str
    life_safety: LifeSafety
    measured_ohm: float | None = None

    def __post_init__(self) -> None:
        if self.measured_ohm is not None:
            above_zero(**{f"measured_ohm of line {self.name}": self.measured_ohm})
        if self.life_safety not in get_args(LifeSafety):
            raise ValueError(f"life_safety of line {self.name} must be no, yes or unknown, got {self.life_safety!r}")


@dataclass(frozen=True, slots=True)
class SiteDial:
    """A level control: the lines it acts on, the source it plays, the group it belongs to ("" is none).

    position, cap: at the baseline, above 0 to 100 [%]; None when not known.
    """

    name: str
    lines: tuple[str, ...]
    source: str
    group: str = ""
    position: float | None = None
    cap: float | None = None
    taper: Taper = "linear"

    def __post_init__(self) -> None:
        for word in ("position", "cap"):
            if getattr(self, word) is not None:
                in_range(f"{word} of {self.name}", getattr(self, word), 0, 100, unit="%", open_low=True)

    @property
    def room_up_db(self) -> float:
        """How much louder the dial goes than at the baseline [dB]; inf when position or cap is not known."""
        if self.position is None or self.cap is None:
            return math.inf
        return drive_db(100.0, self.cap, self.taper) - drive_db(self.position, self.cap, self.taper)

    @property
    def cap_room_up_db(self) -> float:
        """How much louder a cap of 100 % is than the baseline's [dB]; inf when position or cap is not known."""
        if self.position is None or self.cap is None:
            return math.inf
        return drive_db(self.position, 100.0, self.taper) - drive_db(self.position, self.cap, self.taper)


@dataclass(frozen=True, slots=True)
class Heard:
    """A loudspeaker heard at a spot: its level there against the others of that spot [dB], any common reference."""

    loudspeaker: str
    relative_db: float = 0.0

    def __post_init__(self) -> None:
        in_range(f"relative_db of {self.loudspeaker}", self.relative_db, -math.inf, math.inf, unit="dB")


@dataclass(frozen=True, slots=True)
class SiteSpot:
    """A spot of a zone: level at the baseline, level with the music off (None when not known) [dB], what is heard."""

    name: str
    zone: str
    level_db: float
    heard: tuple[Heard, ...]
    background_db: float | None = None

    def __post_init__(self) -> None:
        in_range(f"level_db of {self.name}", self.level_db, -math.inf, math.inf, unit="dB")
        if self.background_db is not None:
            in_range(f"background_db of {self.name}", self.background_db, -math.inf, self.level_db, unit="dB")
        _refuse_empty_or_twice(f"loudspeaker at spot {self.name}", [heard.loudspeaker for heard in self.heard])


@dataclass(frozen=True, slots=True)
class SpotReading:
    """Level as read at a spot, background and all, and the standard uncertainty of its change [dB]."""

    spot: str
    level_db: float
    uncertainty_db: float = READING_DB

    def __post_init__(self) -> None:
        in_range(f"level_db read at {self.spot}", self.level_db, -math.inf, math.inf, unit="dB")
        above_zero(**{f"uncertainty_db at {self.spot}": self.uncertainty_db})


@dataclass(frozen=True, slots=True)
class ImpedanceReading:
    """Impedance of a disconnected line at its terminals [Ω, above 0; inf is open], relative standard uncertainty."""

    line: str
    impedance_ohm: float
    uncertainty: float = IMPEDANCE_SHARE

    def __post_init__(self) -> None:
        if not self.impedance_ohm > 0:
            raise ValueError(
                f"impedance_ohm of line {self.line} must be above 0 (inf for open), got {self.impedance_ohm}"
            )
        above_zero(**{f"uncertainty of line {self.line}": self.uncertainty})


@dataclass(frozen=True, slots=True)
class Symptom:
    """What somebody says: of a zone, of a loudspeaker, or of the whole site where both are ""."""

    kind: SymptomKind
    zone: str = ""
    loudspeaker: str = ""

    def __post_init__(self) -> None:
        if self.kind not in get_args(SymptomKind):
            raise ValueError(f"kind of a symptom must be {', '.join(get_args(SymptomKind))}, got {self.kind!r}")
        if self.zone and self.loudspeaker:
            raise ValueError(f"a symptom is of a zone or of a loudspeaker, got {self.zone} and {self.loudspeaker}")


@dataclass(frozen=True, slots=True)
class Site:
    """The baseline: lines, dials and spots. Names are unique in each; every name used in one exists in the other."""

    lines: tuple[SiteLine, ...]
    dials: tuple[SiteDial, ...]
    spots: tuple[SiteSpot, ...]

    def __post_init__(self) -> None:
        lines = [line.name for line in self.lines]
        _refuse_empty_or_twice("line", lines)
        _refuse_empty_or_twice("spot", [spot.name for spot in self.spots])
        _refuse_empty_or_twice("dial", [dial.name for dial in self.dials])
        of_dials = [line for dial in self.dials for line in dial.lines]
        _refuse_empty_or_twice("line of the dials", of_dials)
        _refuse_unknown("line", of_dials, known=lines)
        coils = [(coil.label, coil.coil) for line in self.lines for coil in line.spec.coils]
        _refuse_empty_or_twice("coil of the lines", coils)
        heard = [heard.loudspeaker for spot in self.spots for heard in spot.heard]
        _refuse_unknown("loudspeaker", heard, known=[label for label, _ in coils])


def check_evidence(
    site: Site, readings: Iterable[SpotReading], *, impedances: Iterable[ImpedanceReading], symptoms: Iterable[Symptom]
) -> None:
    """Refuse evidence on things that the baseline does not hold, a spot or line read twice, or no evidence at all.

    Parameters:
        site: the baseline.
        readings, impedances, symptoms: what was read and heard.
    Returns:
        Nothing.
    Raises:
        ValueError: as above, by name.
    Source: ours.

    >>> check_evidence(Site((), (), ()), [], impedances=[], symptoms=[])
    Traceback (most recent call last):
    ValueError: a line is missing: a baseline needs at least one
    """
    spots, lines = [reading.spot for reading in readings], [reading.line for reading in impedances]
    heard = list(symptoms)
    _refuse_unknown("spot", spots, known=[spot.name for spot in site.spots])
    _refuse_unknown("line", lines, known=[line.name for line in site.lines])
    _refuse_unknown("zone", [s.zone for s in heard if s.zone], known=[spot.zone for spot in site.spots])
    labels = [coil.label for line in site.lines for coil in line.spec.coils]
    _refuse_unknown("loudspeaker", [s.loudspeaker for s in heard if s.loudspeaker], known=labels)
    for what, names in (("spot", spots), ("line", lines)):
        twice = [name for name, count in Counter(names).items() if count > 1]
        if twice:
            raise ValueError(f"{what} {twice[0]} is read twice: give the mean of its readings with its uncertainty")
    if not spots and not lines and not heard:
        raise ValueError("a diagnosis needs a reading or a symptom, got none: read one spot first")


def _refuse_empty_or_twice(what: str, names: Iterable[object]) -> None:
    counts = Counter(names)
    if not counts:
        raise ValueError(f"a {what} is missing: a baseline needs at least one")
    twice = [name for name, count in counts.items() if count > 1]
    if twice:
        raise ValueError(f"{what} {twice[0]} is given twice; each must be given once")


def _refuse_unknown(what: str, names: Iterable[str], *, known: Iterable[str]) -> None:
    have = set(known)
    for name in names:
        if name not in have:
            raise ValueError(f"{what} {name} is not in the baseline: it knows {', '.join(sorted(have)) or 'none'}")
