"""From a fold plan to what is to be built: places for its amplifiers, a line for each channel, every coil's place."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from registry.audio.models import LineKind
from registry.engineering.folding import ChannelFit, FoldedAmplifier, FoldPlan, FoldZone
from registry.planning.candidates import Offered
from registry.planning.draft_levels import DraftLevel, draft_level
from registry.planning.places import Seat, seats
from registry.planning.runs import Run, Today, run_of, todays_strings
from registry.planning.surroundings import Surroundings
from registry.planning.wired import WiredCoil

LONGEST_NAME = 80
LONGEST_STRING_NAME = 40


@dataclass(frozen=True, slots=True)
class DesignedCoil:
    """One coil as it will be wired: its string and order, and the piece of cable that feeds it."""

    wired: WiredCoil
    string: str
    order: int
    run: Run


@dataclass(frozen=True, slots=True)
class DesignedLine:
    """Everything that will be wired to one channel."""

    name: str
    place: str
    channel: str
    kind: str
    coils: tuple[DesignedCoil, ...]

    @property
    def strings(self) -> dict[str, list[DesignedCoil]]:
        """The coils by string, in order."""
        found: dict[str, list[DesignedCoil]] = {}
        for coil in self.coils:
            found.setdefault(coil.string, []).append(coil)
        return found

    @property
    def zones(self) -> tuple[str, ...]:
        """The zones that it feeds."""
        return tuple(dict.fromkeys(coil.wired.zone for coil in self.coils))


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One amplifier of the plan in its place, with what is to be set on it."""

    number: int
    seat: Seat
    tag: str
    make: str
    model: str
    mode: str
    level_db: float
    content: str
    zones: tuple[str, ...]
    source: str
    group: str
    draft: DraftLevel


@dataclass(frozen=True, slots=True)
class Design:
    """All boxes and lines, and the lines of today that are empty afterwards."""

    boxes: tuple[Box, ...]
    lines: tuple[DesignedLine, ...]
    emptied: tuple[str, ...]

    @property
    def coils(self) -> tuple[DesignedCoil, ...]:
        """Every coil of the design."""
        return tuple(coil for line in self.lines for coil in line.coils)


def designed(
    plan: FoldPlan,
    *,
    zones: Iterable[FoldZone],
    coils: Iterable[WiredCoil],
    models: Mapping[str, Offered],
    around: Surroundings,
    positions: Mapping[str, float | None],
    tags: str = "P",
) -> Design:
    """Return the design of a plan.

    `coils` are the zones' coils as they are wired today, `positions` the zones' default positions; tags of new
    amplifiers begin with `tags` until somebody reads them off.
    """
    by_zone = {zone.name: zone for zone in zones}
    wired = [coil for coil in coils if coil.zone in by_zone]
    seated = seats(plan, wired, around=around)
    boxes = tuple(
        _box(amplifier, seat, by_zone, model=models[amplifier.amplifier], around=around, positions=positions, tags=tags)
        for amplifier, seat in zip(plan.amplifiers, seated, strict=True)
    )
    lines = _lines(plan, boxes, by_zone, wired=wired, around=around)
    old = dict.fromkeys(coil.line for coil in wired)
    staying = {coil.line for coil in around.coils} - _wholly_planned(wired, around)
    kept = {line.name for line in lines}
    return Design(boxes, lines, tuple(name for name in old if name not in staying and name not in kept))


def _box(
    amplifier: FoldedAmplifier,
    seat: Seat,
    zones: Mapping[str, FoldZone],
    *,
    model: Offered,
    around: Surroundings,
    positions: Mapping[str, float | None],
    tags: str,
) -> Box:
    first = zones[amplifier.zones[0].zone]
    names = tuple(fit.zone for fit in amplifier.zones)
    found = {positions.get(name) for name in names}
    position = found.pop() if len(found) == 1 else None
    return Box(
        number=amplifier.number,
        seat=seat,
        tag=f"{tags}-A{amplifier.number}",
        make=model.make,
        model=model.model,
        mode=amplifier.mode,
        level_db=amplifier.level_db,
        content=amplifier.content,
        zones=names,
        source=first.source,
        group=first.controller or _group_playing(first.source, around),
        draft=draft_level(
            amplifier.level_db,
            model=model.name,
            full_db=model.full_db(amplifier.mode),
            drives=around.drives,
            position=position,
        ),
    )


def _group_playing(source: str, around: Surroundings) -> str:
    """The group whose units are set to this source already; without one the source gives the group its name."""
    groups = Counter(
        unit.group
        for unit in around.units
        if unit.group and source and unit.setting("source").casefold() == source.casefold()
    )
    return groups.most_common(1)[0][0] if groups else source


def _lines(
    plan: FoldPlan,
    boxes: Sequence[Box],
    zones: Mapping[str, FoldZone],
    *,
    wired: Sequence[WiredCoil],
    around: Surroundings,
) -> tuple[DesignedLine, ...]:
    named = _by_shown_name(zones.values(), wired)
    today = todays_strings(around.coils)
    whole = _wholly_planned(wired, around)
    taken = set(around.lines)
    lines = []
    for amplifier, box in zip(plan.amplifiers, boxes, strict=True):
        for channel in amplifier.channels:
            if channel.strings:
                coils = tuple(_channel_coils(channel, named, today))
                name = _kept_name(coils, wired, whole) or _new_name(box, channel, coils, taken)
                taken.add(name)
                kind = coils[0].wired.kind
                lines.append(DesignedLine(name, box.seat.place, channel.channel, kind, coils))
    return tuple(lines)


Named = Mapping[tuple[str, str], WiredCoil]


def _by_shown_name(zones: Iterable[FoldZone], wired: Iterable[WiredCoil]) -> Named:
    """Every coil by its zone and the name that engineering's plan calls it by."""
    keyed = {coil.key: coil for coil in wired}
    found: dict[tuple[str, str], WiredCoil] = {}
    for zone in zones:
        twice = {coil.loudspeaker for coil in zone.coils if coil.coil != "1"}
        for coil in zone.coils:
            shown = f"{coil.loudspeaker} coil {coil.coil}" if coil.loudspeaker in twice else coil.loudspeaker
            found[zone.name, shown] = keyed[coil.loudspeaker, coil.coil]
    return found


def _channel_coils(channel: ChannelFit, named: Named, today: Today) -> Iterable[DesignedCoil]:
    several = len({string.zone for string in channel.strings}) > 1
    for number, string in enumerate(channel.strings, start=1):
        coils = [named[string.zone, shown] for shown in string.coils]
        if coils[0].kind != LineKind.LOW:
            yield from (_as_it_is(coil, several=several) for coil in coils)
            continue
        for order, coil in enumerate(coils, start=1):
            yield DesignedCoil(coil, str(number), order, run_of(coils, order - 1, today))


def _as_it_is(coil: WiredCoil, *, several: bool) -> DesignedCoil:
    """A coil of a constant-voltage line keeps its chain, named after its zone where several share a channel."""
    name = f"{coil.zone}: {coil.string}"[:LONGEST_STRING_NAME] if several else coil.string
    return DesignedCoil(coil, name, coil.order, Run(coil.cable, coil.cable_m, chained=coil.order > 1))


def _wholly_planned(wired: Iterable[WiredCoil], around: Surroundings) -> set[str]:
    """Lines of today all of whose coils are in the plan."""
    planned = {coil.key for coil in wired}
    staying = {coil.line for coil in around.coils if coil.key not in planned}
    return {coil.line for coil in around.coils} - staying


def _kept_name(coils: Sequence[DesignedCoil], wired: Sequence[WiredCoil], whole: set[str]) -> str:
    """A line whose loudspeakers stay together, and alone, keeps its name: its labels stay right."""
    lines = {coil.wired.line for coil in coils}
    if len(lines) != 1 or not lines <= whole:
        return ""
    line = lines.pop()
    return line if len(coils) == sum(coil.line == line for coil in wired) else ""


def _new_name(box: Box, channel: ChannelFit, coils: Sequence[DesignedCoil], taken: set[str]) -> str:
    zones = " + ".join(dict.fromkeys(coil.wired.zone for coil in coils))
    name = f"{box.seat.place} {channel.channel}: {zones}"[:LONGEST_NAME].rstrip()
    number = 2
    while name in taken:
        end = f" ({number})"
        name, number = f"{name[: LONGEST_NAME - len(end)].rstrip()}{end}", number + 1
    return name
