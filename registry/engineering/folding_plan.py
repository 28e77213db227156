"""A fold plan in words and numbers: what hangs on every channel, how far every zone is off, what the plan costs."""

from dataclasses import dataclass
from typing import Final

from registry.engineering.folding_groups import Group
from registry.engineering.folding_level import best_level_db
from registry.engineering.folding_options import ZoneWiring, impedance_of
from registry.engineering.folding_parts import FoldCoil
from registry.engineering.line_parts import MINIMUM_SHARE
from registry.engineering.wording import counted, figure, listed

NO_MARGIN: Final = 1.1  # a load below 1.1 times the minimum has no margin: common practice


@dataclass(frozen=True, slots=True)
class FoldString:
    """Coils in series (or one coil) as they hang on a channel: labels, impedance [Ω], rooms."""

    zone: str
    coils: tuple[str, ...]
    impedance_ohm: float
    rooms: tuple[str, ...]

    @property
    def says(self) -> str:
        """What one open coil does to this string; empty where it silences nothing else."""
        if len(self.coils) == 1:
            return ""
        where = f" in {listed(self.rooms)}" if len(self.rooms) > 1 else ""
        return f"{self.zone}: one open coil silences {listed(self.coils)}{where}."


@dataclass(frozen=True, slots=True)
class ChannelFit:
    """One channel: its strings, its load and the smallest load it allows [Ω]; `load_ohm` is None with nothing on it."""

    channel: str
    strings: tuple[FoldString, ...]
    load_ohm: float | None
    min_load_ohm: float

    @property
    def says(self) -> str:
        """The load beside its limit, and a warning where there is no margin."""
        if self.load_ohm is None:
            return f"Channel {self.channel}: nothing connected."
        text = f"Channel {self.channel}: {figure(self.load_ohm)} Ω; {figure(self.min_load_ohm)} Ω or more is allowed"
        if self.load_ohm >= self.min_load_ohm * NO_MARGIN:
            return f"{text}."
        lowest = figure(self.load_ohm * MINIMUM_SHARE)
        return f"{text}, no margin: at 80 % of the nominal impedance it is {lowest} Ω, so measure before connecting."


@dataclass(frozen=True, slots=True)
class ZoneFit:
    """One zone on its amplifier: loudspeakers per string, level wanted and got [dB], changes to today's wiring."""

    zone: str
    per_string: int
    need_db: float
    wanted_db: float
    got_db: float
    tolerance_db: float
    changes: int

    @property
    def error_db(self) -> float:
        """Level got less level wanted [dB]: above zero is too loud."""
        return self.got_db - self.wanted_db


@dataclass(frozen=True, slots=True)
class FoldedAmplifier:
    """One amplifier of a plan: type, mode, its one level [dB re 2.83 V at the terminals], channels, zones.

    `content` is "mono", or "mono or stereo" where every channel covers the one room that it feeds, or "stereo".
    """

    number: int
    amplifier: str
    mode: str
    level_db: float
    content: str
    channels: tuple[ChannelFit, ...]
    zones: tuple[ZoneFit, ...]


@dataclass(frozen=True, slots=True)
class FoldPlan:
    """The best plan with this number of amplifiers; `price` is None where a price is not known."""

    amplifiers: tuple[FoldedAmplifier, ...]
    penalty: float
    price: float | None

    @property
    def zones(self) -> tuple[ZoneFit, ...]:
        """Every zone of the plan."""
        return tuple(zone for amplifier in self.amplifiers for zone in amplifier.zones)

    @property
    def level_error_db(self) -> float:
        """Sum of the zones' level errors, each without its sign [dB]."""
        return sum(abs(zone.error_db) for zone in self.zones)

    @property
    def worst(self) -> ZoneFit:
        """The zone that is furthest off."""
        return max(self.zones, key=lambda zone: abs(zone.error_db))

    @property
    def rewired(self) -> tuple[str, ...]:
        """Zones whose wiring differs from today's, where today's is known."""
        return tuple(zone.zone for zone in self.zones if zone.changes)

    @property
    def in_series(self) -> tuple[str, ...]:
        """Zones with more than one loudspeaker in a string."""
        return tuple(zone.zone for zone in self.zones if zone.per_string > 1)

    @property
    def single_faults(self) -> tuple[str, ...]:
        """What one open coil silences, for every string of more than one loudspeaker."""
        strings = (s for a in self.amplifiers for channel in a.channels for s in channel.strings)
        return tuple(string.says for string in strings if string.says)

    @property
    def says(self) -> str:
        """The plan in one sentence."""
        error = f"{self.worst.error_db:+.1f}".replace("-", "−")
        series = f"{counted(len(self.in_series), 'zone').lower()} in series strings"
        boxes = f"{counted(len(self.amplifiers), 'amplifier')} for {counted(len(self.zones), 'zone').lower()}"
        return f"{boxes}; furthest off is {self.worst.zone} with {error} dB; {series}."


def folded_amplifier(number: int, group: Group) -> FoldedAmplifier:
    """Write out one group of zones: channels with their strings and loads, zones with their errors.

    Parameters:
        number: of the amplifier in the plan, from 1.
        group: the zones with their wirings and splits.
    Returns:
        The amplifier as it is to be wired and set.
    Raises:
        ValueError: nothing beyond what the parts refuse.
    Source: derived.

    >>> from registry.engineering.folding_groups import priced_groups
    >>> from registry.engineering.folding_parts import AmplifierType, FoldZone, Mode, Weights
    >>> zone = FoldZone(name="Bar", coils=(FoldCoil("LS1", 8.0),), wanted_db=60, level_at_283_db=80, life_safety="no")
    >>> table = priced_groups([zone], [AmplifierType("Two channels", (Mode("mono", 2, 4.0),))], weights=Weights())
    >>> folded_amplifier(1, table.group(1)).channels[0].says
    'Channel A: 8 Ω; 4 Ω or more is allowed.'
    """
    level = best_level_db(group.wirings, max_drive_db=group.mode.max_drive_db)
    channels = tuple(_channel(group, channel) for channel in range(group.mode.channels))
    return FoldedAmplifier(
        number=number,
        amplifier=group.amplifier.name,
        mode=group.mode.name,
        level_db=level,
        content=_content(group, channels),
        channels=channels,
        zones=tuple(_zone_fit(w, s.changes, level_db=level) for w, s in zip(group.wirings, group.splits, strict=True)),
    )


def _channel(group: Group, channel: int) -> ChannelFit:
    strings = []
    for wiring, split in zip(group.wirings, group.splits, strict=True):
        for kind, take in zip(wiring.kinds, split.takes, strict=True):
            first = sum(take[:channel])
            strings += [_string(wiring, coils) for coils in kind[first : first + take[channel]]]
    load_s = sum(1.0 / string.impedance_ohm for string in strings)
    return ChannelFit(
        channel="ABCD"[channel],
        strings=tuple(strings),
        load_ohm=1.0 / load_s if strings else None,
        min_load_ohm=group.mode.min_load_ohm,
    )


def _string(wiring: ZoneWiring, coils: tuple[FoldCoil, ...]) -> FoldString:
    twice = {coil.loudspeaker for coil in wiring.zone.coils if coil.coil != "1"}
    labels = tuple(f"{c.loudspeaker} coil {c.coil}" if c.loudspeaker in twice else c.loudspeaker for c in coils)
    rooms = tuple(sorted({coil.room for coil in coils if coil.room}))
    return FoldString(wiring.zone.name, labels, len(coils) * impedance_of(coils[0]), rooms)


def _content(group: Group, channels: tuple[ChannelFit, ...]) -> str:
    if not group.mode.mono:
        return "stereo"
    rooms = {coil.room for wiring in group.wirings for coil in wiring.zone.coils}
    one_room = len(rooms) == 1 and "" not in rooms
    return "mono or stereo" if one_room and len(channels) > 1 and all(c.strings for c in channels) else "mono"


def _zone_fit(wiring: ZoneWiring, changes: int, *, level_db: float) -> ZoneFit:
    return ZoneFit(
        zone=wiring.zone.name,
        per_string=wiring.per_string,
        need_db=wiring.need_db,
        wanted_db=wiring.wanted_db,
        got_db=wiring.wanted_db + level_db - wiring.need_db,
        tolerance_db=wiring.zone.tolerance_db,
        changes=changes,
    )
