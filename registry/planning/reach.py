"""Source reach: can every zone hear its source the way its unit is set and grouped, and which control moves what.

The model, decided here. A unit is a place with an amplifier or an endpoint. Its settings say what it plays:

* `input`: "network" (or nothing) is the network; the name of another place is a cable from there; anything else is a
  local input of the unit itself.
* `source`: what is chosen on the network: a stream by its name, or "Line in of …" for the local input of a unit.
* `group`: units of one group share source and master level. A stream reaches every unit of a group. A local input
  reaches its own unit only, unless that unit's setting `line in goes to` is "group".
* `output mode`: what begins with "fixed" leaves a line output untouched by the unit's own level and its group's.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from registry.engineering.wording import listed

Hears: TypeAlias = Literal["yes", "no", "unknown"]

NETWORK = ("", "network", "stream")
LINE_IN_OF = "line in of "
GOES_TO = "line in goes to"


@dataclass(frozen=True, slots=True)
class Unit:
    """A place that plays, with its settings by key."""

    name: str
    settings: Mapping[str, str]

    def setting(self, key: str) -> str:
        """Return a setting as written; empty where it is not recorded."""
        return self.settings.get(key, "").strip()

    @property
    def group(self) -> str:
        """The group that it belongs to; empty for none."""
        return self.setting("group")

    @property
    def on_network(self) -> bool:
        """Whether it plays what comes over the network."""
        return self.setting("input").casefold() in NETWORK

    @property
    def sends_line_in_to_group(self) -> bool:
        """Whether its local input is sent on to its group."""
        return self.setting(GOES_TO).casefold() == "group"

    @property
    def passes_its_level_on(self) -> bool:
        """Whether its level moves what is cabled to its output."""
        return not self.setting("output mode").casefold().startswith("fixed")


@dataclass(frozen=True, slots=True)
class FedZone:
    """A zone, the source that it is meant to play, and the units that drive its loudspeakers."""

    name: str
    source: str
    units: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ZoneReach:
    """Whether a zone hears its source, and why."""

    zone: str
    source: str
    hears: Hears
    says: str


@dataclass(frozen=True, slots=True)
class Control:
    """A level control and all that it moves: the master of a group, or a unit's own."""

    name: str
    is_master: bool
    units: tuple[str, ...]
    zones: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True)
class Reach:
    """Every zone's answer, every control that moves a zone, and what contradicts itself."""

    zones: tuple[ZoneReach, ...]
    controls: tuple[Control, ...]
    conflicts: tuple[str, ...]

    @property
    def unheard(self) -> tuple[ZoneReach, ...]:
        """Zones that can't hear their source."""
        return tuple(zone for zone in self.zones if zone.hears == "no")

    @property
    def unknown(self) -> tuple[ZoneReach, ...]:
        """Zones of which too little is recorded."""
        return tuple(zone for zone in self.zones if zone.hears == "unknown")


@dataclass(frozen=True, slots=True)
class Played:
    """What a unit plays: the source by name, None where it can't be told, and why nothing is heard or known.

    `also` is a second name of the same source: the local input of a unit.
    """

    source: str | None
    says: str = ""
    silent: bool = False
    also: str = ""

    def is_source(self, name: str) -> bool:
        """Whether a name means this source."""
        return bool(self.source) and (_same(self.source or "", name) or _same(self.also, name))


def reach(zones: Sequence[FedZone], units: Iterable[Unit]) -> Reach:
    """Return which zones hear their source, which controls move what, and which groups contradict themselves."""
    known = {unit.name.casefold(): unit for unit in units}
    return Reach(
        zones=tuple(_zone_reach(zone, known) for zone in zones),
        controls=tuple(_controls(zones, known)),
        conflicts=tuple(_conflicts(known)),
    )


Units: TypeAlias = Mapping[str, Unit]


def _zone_reach(zone: FedZone, units: Units) -> ZoneReach:
    if not zone.units:
        return ZoneReach(zone.name, zone.source, "unknown", "no line feeds it")
    if not zone.source.strip():
        return ZoneReach(zone.name, "", "unknown", "no source is recorded for it")
    answers = [_unit_reach(zone.source, name, units) for name in zone.units]
    worst = min(answers, key=lambda answer: ("no", "unknown", "yes").index(answer[0]))
    return ZoneReach(zone.name, zone.source, *worst)


def _unit_reach(source: str, name: str, units: Units) -> tuple[Hears, str]:
    unit = units.get(name.casefold())
    played = plays(unit, units) if unit else Played(None, f"nothing is recorded of {name}")
    if played.silent:
        return "no", played.says
    if played.source is None:
        return "unknown", played.says
    if played.is_source(source):
        return "yes", f"{name} plays {source}{f' {played.says}' if played.says else ''}"
    owner = _line_in_owner(source)
    if unit and owner and owner != unit.name.casefold():
        local = _others_line_in(unit, source, units.get(owner))
        if local.silent:
            return "no", local.says
    return "no", f"it is meant to play {source}, and {name} plays {played.source}"


def plays(unit: Unit, units: Units, *, behind: tuple[str, ...] = ()) -> Played:
    """Return what a unit plays, following cables from unit to unit and the sources of its group."""
    if unit.name in behind:
        return Played(None, f"{listed([*behind, unit.name])} are cabled in a circle: look at their inputs", silent=True)
    wanted = unit.setting("input")
    if unit.on_network:
        return _from_network(unit, units)
    feeding = units.get(wanted.casefold())
    if feeding is None:
        return Played(wanted, "at its local input", also=f"{LINE_IN_OF}{unit.name}")
    fed = plays(feeding, units, behind=(*behind, unit.name))
    return replace(fed, says=fed.says or f"from {feeding.name} by cable")


def _from_network(unit: Unit, units: Units) -> Played:
    own = unit.setting("source")
    chosen = own or _source_of_group(unit, units)
    if not chosen:
        return Played(None, f"what {unit.name} plays is not recorded: record its source, or its input")
    owner = _line_in_owner(chosen)
    if owner is not None and owner != unit.name.casefold():
        return _others_line_in(unit, chosen, units.get(owner))
    return Played(chosen, "" if own else f"through group {unit.group}")


def _source_of_group(unit: Unit, units: Units) -> str:
    found = [other.setting("source") for other in _group(unit.group, units) if other.on_network]
    return next((source for source in found if source), "")


def _others_line_in(unit: Unit, chosen: str, owner: Unit | None) -> Played:
    """A local input of another unit is heard only where that unit sends it on to the group both are in."""
    if owner is None:
        return Played(None, f"{unit.name} is set to {chosen}, and nothing of that name is recorded", silent=True)
    if not owner.sends_line_in_to_group:
        only = f"{chosen} reaches only {owner.name}: split it, or send it on to the group"
        return Played(None, only, silent=True)
    if not unit.group or not _same(unit.group, owner.group):
        says = f"{owner.name} sends its line in to group {owner.group}; {unit.name} is not in it"
        return Played(None, says, silent=True)
    return Played(chosen, f"sent on by {owner.name}")


def _line_in_owner(source: str) -> str | None:
    text = source.casefold().strip()
    return text.removeprefix(LINE_IN_OF).strip() if text.startswith(LINE_IN_OF) else None


def _group(name: str, units: Units) -> list[Unit]:
    return [unit for unit in units.values() if name and _same(unit.group, name)]


def _group_names(units: Units) -> list[str]:
    """Every group once, as it is written first."""
    names: dict[str, str] = {}
    for unit in units.values():
        if unit.group:
            names.setdefault(unit.group.casefold(), unit.group)
    return list(names.values())


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def _conflicts(units: Units) -> Iterable[str]:
    """Groups whose members are set to different streams: a group plays one."""
    for name in _group_names(units):
        sources: dict[str, list[str]] = {}
        for unit in _group(name, units):
            if unit.on_network and unit.setting("source"):
                sources.setdefault(unit.setting("source").casefold(), []).append(unit.name)
        if len(sources) > 1:
            shown = [f"{listed(names)} to {units[names[0].casefold()].setting('source')}" for names in sources.values()]
            yield f"Group {name} plays one source, yet its units are set apart: {'; '.join(shown)}."


def _controls(zones: Sequence[FedZone], units: Units) -> Iterable[Control]:
    fed = {name.casefold() for zone in zones for name in zone.units}
    for name in _group_names(units):
        members = _group(name, units)
        moved = _moved(members, zones, units)
        if moved:
            names = tuple(unit.name for unit in members)
            yield Control(name, True, names, moved, f"The master level of group {name} moves {listed(moved)} together.")
    for unit in units.values():
        moved = _moved([unit], zones, units)
        if moved and (unit.name.casefold() in fed or unit.passes_its_level_on):
            says = f"The level of {unit.name} moves only {listed(moved)}."
            yield Control(unit.name, False, (unit.name,), moved, says)


def _moved(members: Sequence[Unit], zones: Sequence[FedZone], units: Units) -> tuple[str, ...]:
    """The zones behind these units, those included that get their signal from one of them by cable."""
    names = {unit.name.casefold() for unit in members}
    while True:
        senders = {name for name in names if units[name].passes_its_level_on}
        further = {
            name
            for name, unit in units.items()
            if name not in names and not unit.on_network and unit.setting("input").casefold() in senders
        }
        if not further:
            return tuple(zone.name for zone in zones if names & {unit.casefold() for unit in zone.units})
        names |= further
