"""What a schematic shows: the amplifier channel, the strings of its line, the loudspeakers with figures as text."""

from dataclasses import dataclass
from typing import Literal

from registry.drawings.marks import Verdict

Wiring = Literal["low impedance", "constant voltage"]
AMPLIFIER_OFF = "Switch the amplifier off before touching the wiring."
LINE_CAN_SHOCK = f"This line can shock. {AMPLIFIER_OFF} Local codes and licensed practice decide."


@dataclass(frozen=True, slots=True)
class SchematicCable:
    """The piece that feeds a loudspeaker from the one before it, or from the amplifier; "" is not known."""

    size: str = ""
    length: str = ""
    plus: str = ""  # conductor colours as words
    minus: str = ""

    @property
    def words(self) -> str:
        if not (self.size or self.length):
            return "cable not known"
        return f"{self.size or 'size not known'}, {self.length or 'length not known'}"

    @property
    def colours(self) -> str:
        named = (("plus", self.plus), ("minus", self.minus))
        return ", ".join(f"{pole} {colour}" for pole, colour in named if colour)


@dataclass(frozen=True, slots=True)
class SchematicLoudspeaker:
    """One connected coil of a loudspeaker, with its figures as text."""

    label: str
    coil: str = ""
    load: str = ""  # "8 Ω", "tap 6 W"
    power: str = ""
    level: str = ""
    cable: SchematicCable | None = None
    verdict: Verdict | None = None
    remark: str = ""

    @property
    def name(self) -> str:
        return f"{self.label}, coil {self.coil}" if self.coil else self.label

    @property
    def figures(self) -> tuple[str, ...]:
        load = self.load or "load not known"
        return tuple(part for part in (f"{load}, {self.power}" if self.power else load, self.level) if part)

    @property
    def judgement(self) -> str:
        return ": ".join(part for part in (self.verdict or "", self.remark) if part)


@dataclass(frozen=True, slots=True)
class SchematicString:
    """Loudspeakers of one string in wiring order: in series, or a daisy chain on a constant-voltage line."""

    name: str
    loudspeakers: tuple[SchematicLoudspeaker, ...] = ()


@dataclass(frozen=True, slots=True)
class SchematicLine:
    """Everything that is wired to one channel; the strings are in parallel."""

    title: str
    wiring: Wiring
    amplifier: str
    channel: str
    rating: str = ""
    strings: tuple[SchematicString, ...] = ()
    verdict: Verdict | None = None
    says: str = ""
    caution: str = ""  # "" gives the caution that belongs to the wiring

    def __post_init__(self) -> None:
        if self.wiring not in ("low impedance", "constant voltage"):
            raise ValueError(f"wiring is 'low impedance' or 'constant voltage', got {self.wiring!r}")

    @property
    def warning(self) -> str:
        return self.caution or (LINE_CAN_SHOCK if self.wiring == "constant voltage" else AMPLIFIER_OFF)

    @property
    def wired_strings(self) -> tuple[SchematicString, ...]:
        return tuple(string for string in self.strings if string.loudspeakers)

    @property
    def judgement(self) -> str:
        return ": ".join(part for part in (self.verdict or "", self.says) if part)
