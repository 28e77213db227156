"""What a fold plan starts from: zones with their coils, amplifier types with their modes, and the weights."""

import math
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias, get_args

from registry.engineering.bounds import in_range
from registry.engineering.limits import above_zero, zero_or_more
from registry.engineering.line_parts import LineKind

LifeSafety: TypeAlias = Literal["no", "yes", "unknown"]

LONGEST_STRING: Final = 2  # loudspeakers in series: common practice, for one open coil silences them all
MOST_IN_A_STRING: Final = 8
MOST_CHANNELS: Final = 4


def _one_of(what: str, value: str, *, allowed: tuple[str, ...]) -> None:
    if value not in allowed:
        raise ValueError(f"{what} must be {', '.join(allowed)}, got {value!r}")


@dataclass(frozen=True, slots=True)
class FoldCoil:
    """One input of a loudspeaker. A loudspeaker with two inputs appears twice, with two names of coil.

    impedance_ohm: nominal or, better, measured; V²/P of the tap on a constant-voltage line. rated_power_w: in watts.
    Both above 0, None when not known. model: series strings are only made of one known model. room: "" is not known.
    """

    loudspeaker: str
    impedance_ohm: float | None
    coil: str = "1"
    model: str = ""
    room: str = ""
    rated_power_w: float | None = None

    def __post_init__(self) -> None:
        if not self.loudspeaker:
            raise ValueError("loudspeaker must be a label, got an empty text")
        for name in ("impedance_ohm", "rated_power_w"):
            value = getattr(self, name)
            if value is not None:
                above_zero(**{f"{name} of {self.loudspeaker}": value})


@dataclass(frozen=True, slots=True)
class Wiring:
    """How a zone is wired today: loudspeakers per string (1: all in parallel), channels it is spread over."""

    per_string: int = 1  # 1 or more
    channels: int = 1  # 1 or more

    def __post_init__(self) -> None:
        in_range("per_string", self.per_string, 1, math.inf)
        in_range("channels", self.channels, 1, math.inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldZone:
    """A zone that asks for a place on an amplifier.

    wanted_db, level_at_283_db: the level wanted at the spot, and the level there with 2.83 V at the terminals and every
    loudspeaker in parallel [dB]; None when not known. tolerance_db, weight, control_db: 0 or more. Zones share an
    amplifier only where source, hours, controller and line kind are the same. control_db: what an in-line control takes
    away; behind a control with a transformer set longest_string to 1. may_split: whether cables reach from the rack to
    parts of the zone, so that it may be spread over channels. today: None when not known.
    """

    name: str
    coils: tuple[FoldCoil, ...]
    wanted_db: float | None
    level_at_283_db: float | None
    life_safety: LifeSafety
    tolerance_db: float = 2.0
    weight: float = 1.0
    kind: LineKind = "low"
    source: str = ""
    hours: str = ""
    controller: str = ""
    control_db: float = 0.0
    longest_string: int = LONGEST_STRING
    may_split: bool = True
    today: Wiring | None = None

    def __post_init__(self) -> None:
        if not self.name or not self.coils:
            raise ValueError(f"a zone needs a name and at least one coil, got {self.name!r} with {len(self.coils)}")
        of_zone = f"of zone {self.name}"
        _one_of(f"life_safety {of_zone}", self.life_safety, allowed=get_args(LifeSafety))
        _one_of(f"kind {of_zone}", self.kind, allowed=get_args(LineKind))
        in_range(f"longest_string {of_zone}", self.longest_string, 1, MOST_IN_A_STRING)
        for word in ("tolerance_db", "weight", "control_db"):
            zero_or_more(**{f"{word} {of_zone}": getattr(self, word)})
        for word in ("wanted_db", "level_at_283_db"):
            if getattr(self, word) is not None:
                in_range(f"{word} {of_zone}", getattr(self, word), -math.inf, math.inf, unit="dB")
        if len({(coil.loudspeaker, coil.coil) for coil in self.coils}) < len(self.coils):
            raise ValueError(f"a coil {of_zone} is given twice; a second input needs its own name of coil")


@dataclass(frozen=True, slots=True)
class Mode:
    """One way an amplifier can be set. All its channels carry one level.

    channels: 1 to 4. min_load_ohm: smallest load of each channel, above 0. max_drive_db: highest mean drive, dB re
    2.83 V; None is not known, the drive is then not checked and the result says so. mono: every channel carries the sum
    of left and right; without it an amplifier only suits one room, with every channel in use.
    """

    name: str
    channels: int
    min_load_ohm: float
    max_drive_db: float | None = None
    kind: LineKind = "low"
    mono: bool = True

    def __post_init__(self) -> None:
        of_mode = f"of mode {self.name}"
        remedy = "enter a larger amplifier as several of its groups of channels"
        in_range(f"channels {of_mode}", self.channels, 1, MOST_CHANNELS, remedy=remedy)
        above_zero(**{f"min_load_ohm {of_mode}": self.min_load_ohm})
        _one_of(f"kind {of_mode}", self.kind, allowed=get_args(LineKind))
        if self.max_drive_db is not None:
            in_range(f"max_drive_db {of_mode}", self.max_drive_db, -math.inf, math.inf, unit="dB")


@dataclass(frozen=True, slots=True)
class AmplifierType:
    """An amplifier that may be bought as often as needed. price: in any currency, 0 or more; None when not known."""

    name: str
    modes: tuple[Mode, ...]
    price: float | None = None

    def __post_init__(self) -> None:
        if not self.modes or len({mode.name for mode in self.modes}) < len(self.modes):
            raise ValueError(f"amplifier {self.name!r} needs modes, each with its own name, got {len(self.modes)}")
        if self.price is not None:
            zero_or_more(**{f"price of {self.name}": self.price})


@dataclass(frozen=True, slots=True, kw_only=True)
class Weights:
    """What a plan is charged for each of its costs, in penalty points of 0 or more (the figures are common practice).

    They keep the order amplifiers, level error, rewiring, series strings, shared fate. level: per dB of error and unit
    of zone weight. rewiring: per change of a zone's wiring. series: per string of more than one loudspeaker.
    shared_fate: per pair of zones on one amplifier, times both zone weights. price: per unit of currency.
    """

    amplifier: float = 1000.0
    price: float = 0.01
    level: float = 10.0
    rewiring: float = 3.0
    series: float = 1.0
    shared_fate: float = 0.1

    def __post_init__(self) -> None:
        for word in ("amplifier", "price", "level", "rewiring", "series", "shared_fate"):
            zero_or_more(**{f"weight {word}": getattr(self, word)})
