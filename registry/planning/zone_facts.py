"""What the register knows of a zone that may be folded: its coils, what is wanted of it, and what stands in the way."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from registry.audio.models import LineKind, Zone
from registry.baselines.models import Baseline, Reading
from registry.baselines.queries import newest_baselines, newest_readings
from registry.engineering.background import correct_for_background
from registry.engineering.folding import Wiring
from registry.engineering.wording import figure, listed
from registry.planning.levels import Known, level_at_283
from registry.planning.wired import SiteWiring, WiredCoil, strings_of
from sites.models import Site, YesNoUnknown


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneFacts:
    """A zone with its coils. `bound` says why no plan may touch it; `tied` names zones that share a string with it."""

    pk: int
    name: str
    room: str
    source: str
    spot: str
    default_position: float | None
    tolerance_db: float | None
    coils: tuple[WiredCoil, ...]
    wanted: Known
    at_283: Known
    bound: str = ""
    tied: tuple[str, ...] = ()

    @property
    def kind(self) -> str:
        """Low impedance or a line voltage, of a zone that hangs on lines of one kind."""
        return self.coils[0].kind if self.coils else LineKind.LOW

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines that it hangs on today."""
        return tuple(dict.fromkeys(coil.line for coil in self.coils))

    @property
    def amplifiers(self) -> tuple[str, ...]:
        """The places that drive it today."""
        return tuple(dict.fromkeys(coil.amplifier for coil in self.coils))

    @property
    def longest_string(self) -> int:
        """Loudspeakers in its longest string today; 1 on a constant-voltage line, where nothing is in series."""
        lengths = [len(coils) for coils in strings_of(self.coils).values()]
        return max(lengths, default=1) if self.kind == LineKind.LOW else 1

    @property
    def today(self) -> Wiring | None:
        """How it is wired today, where its strings are alike."""
        lengths = {len(coils) for coils in strings_of(self.coils).values()}
        if self.kind != LineKind.LOW:
            return Wiring(1, len(self.lines))
        return Wiring(lengths.pop(), len(self.lines)) if len(lengths) == 1 else None


def zone_facts(site: Site, wiring: SiteWiring) -> list[ZoneFacts]:
    """Return what is known of the zones of a site that were read, in their order. Two queries."""
    baseline = newest_baselines([site.pk]).get(site.pk)
    newest = newest_readings(wiring.zones)
    return [_facts(zone, site, wiring, _wanted(zone, baseline, newest.get(zone.pk))) for zone in wiring.zones]


def _facts(zone: Zone, site: Site, wiring: SiteWiring, wanted: Known) -> ZoneFacts:
    own = tuple(coil for coil in wiring.coils if coil.zone == zone.name)
    others = _sharing(zone.name, own, wiring.coils)
    constant_voltage = any(coil.kind != LineKind.LOW for coil in own)
    return ZoneFacts(
        pk=zone.pk,
        name=zone.name,
        room=zone.space.name if zone.space else "",
        source=zone.source,
        spot=zone.spot,
        default_position=zone.default_position,
        tolerance_db=zone.tolerance_db,
        coils=own,
        wanted=wanted,
        at_283=level_at_283(own, space=zone.space, reading=wiring.driven.get(zone.pk), time_zone=site.zone_info),
        bound=_bound(own, others if constant_voltage else ()),
        tied=() if constant_voltage else others,
    )


def _wanted(zone: Zone, baseline: Baseline | None, reading: Reading | None) -> Known:
    frozen = baseline.content["zones"].get(zone.name) if baseline else None
    if baseline and frozen and frozen["level_db"] is not None:
        return Known(_signal_db(frozen["level_db"], frozen["background_db"]), f"baseline {baseline.number}")
    if reading is not None and reading.level_db is not None:
        return Known(_signal_db(reading.level_db, reading.background_db), "newest reading; there is no baseline of it")
    return Known(None, "no baseline and no reading: read the zone, or type the level that is wanted")


def _signal_db(level_db: float, background_db: float | None) -> float:
    """The level without its background where that can be told; else what was read and agreed."""
    if background_db is None:
        return level_db
    return round(correct_for_background(level_db, background_db).level_db or level_db, 2)


def _sharing(zone: str, own: Iterable[WiredCoil], coils: Iterable[WiredCoil]) -> tuple[str, ...]:
    """Other zones with a coil on one of this zone's strings."""
    strings = {coil.string_key for coil in own}
    return tuple(dict.fromkeys(c.zone for c in coils if c.string_key in strings and c.zone != zone))


def _bound(coils: tuple[WiredCoil, ...], others: tuple[str, ...]) -> str:
    if not coils:
        return "no loudspeaker of it is connected"
    touchy = {coil.line: coil.life_safety for coil in coils if coil.life_safety != YesNoUnknown.NO}
    if touchy:
        line, answer = next(iter(touchy.items()))
        if answer == YesNoUnknown.YES:
            return f"line {line} is life-safety related: no change is offered"
        return f"nobody has said whether line {line} is life-safety related: no change is offered"
    if len({coil.kind for coil in coils}) > 1:
        return "its loudspeakers hang on lines of different kinds"
    if others:
        return f"its constant-voltage cable also feeds {listed(others)}, so it stays as it is"
    if coils[0].kind != LineKind.LOW and len({coil.line for coil in coils}) > 1:
        return "it hangs on several constant-voltage lines, which stay as they are"
    return ""


def loudspeakers_shown(facts: ZoneFacts) -> str:
    """Return the zone's coils as people count them: 6 × 8 Ω, or 4 × 10 W at 100 V."""
    if facts.kind == LineKind.LOW:
        counts = Counter(coil.impedance_ohm for coil in facts.coils)
        return ", ".join(f"{n} × {'not known' if ohm is None else f'{figure(ohm)} Ω'}" for ohm, n in counts.items())
    taps = Counter(coil.tap_w for coil in facts.coils)
    return ", ".join(f"{n} × {'tap not known' if w is None else f'{figure(w)} W'}" for w, n in taps.items())


def by_name(facts: Iterable[ZoneFacts]) -> Mapping[str, ZoneFacts]:
    """Return zones by their name, which is unique in a site."""
    return {zone.name: zone for zone in facts}
