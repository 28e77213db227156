"""Coils as they are wired today, as plain values: what a fold plan freezes, and what a design starts from."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from registry.audio.models import Coil, Zone
from registry.baselines.models import Reading
from registry.planning.queries import driven_readings
from sites.models import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class WiredCoil:
    """One connected input of a loudspeaker: where it hangs, how it gets there, and what its maker says of it."""

    loudspeaker: str
    coil: str
    zone: str
    line: str
    amplifier: str
    channel: str
    life_safety: str
    kind: str
    string: str
    order: int
    tap_w: float | None
    plus: str
    minus: str
    cable: str
    cable_m: float | None
    make: str
    model: str
    impedance_ohm: float | None
    min_impedance_ohm: float | None
    power_w: float | None
    sensitivity_db: float | None
    insertion_loss_db: float | None
    taps_w: tuple[float, ...]

    @property
    def key(self) -> tuple[str, str]:
        """What tells one coil of a site from another."""
        return (self.loudspeaker, self.coil)

    @property
    def string_key(self) -> tuple[str, str]:
        """What tells one string of a site from another."""
        return (self.line, self.string)

    @property
    def name(self) -> str:
        """What people call it: the loudspeaker, with the coil where it is not the first."""
        return self.loudspeaker if self.coil == "1" else f"{self.loudspeaker} coil {self.coil}"


def wired_coils(site: Site) -> list[WiredCoil]:
    """Return every connected coil of a site in wiring order. One query."""
    coils = Coil.objects.filter(line__site=site).select_related(
        "line__amplifier",
        "loudspeaker__zone",
        "loudspeaker__make_model__make",
        "loudspeaker__make_model__loudspeaker",
    )
    return sorted(map(_wired, coils), key=in_wiring_order)


class SiteWiring(NamedTuple):
    """The zones of a site, its coils as they are wired, and by the zone's id how loud it was at a known drive."""

    zones: Sequence[Zone]
    coils: Sequence[WiredCoil]
    driven: Mapping[int, Reading]


def wiring_of(site: Site, zones: Iterable[Zone]) -> SiteWiring:
    """Return how a site and these zones of it are wired. Three queries."""
    zones = list(zones)
    return SiteWiring(zones, wired_coils(site), driven_readings(zones))


def in_wiring_order(coil: WiredCoil) -> tuple[object, ...]:
    """Sort by line, string and order, numbers in names by their value: string 10 comes after string 9."""
    return (*natural(coil.line), *natural(coil.string), coil.order, *natural(coil.loudspeaker), coil.coil)


def natural(text: str) -> tuple[tuple[tuple[int, str], ...]]:
    """Return a sorting key that takes runs of digits as numbers."""
    parts = (part for part in re.split(r"(\d+)", text) if part)
    return (tuple((int(part), "") if part.isdecimal() else (-1, part) for part in parts),)


def strings_of(coils: Iterable[WiredCoil]) -> dict[tuple[str, str], list[WiredCoil]]:
    """Return the coils by line and string, each string in its order."""
    strings: dict[tuple[str, str], list[WiredCoil]] = {}
    for coil in coils:
        strings.setdefault(coil.string_key, []).append(coil)
    return strings


def _wired(coil: Coil) -> WiredCoil:
    unit, line = coil.loudspeaker, coil.line
    spec = getattr(unit.make_model, "loudspeaker", None)
    return WiredCoil(
        loudspeaker=unit.label,
        coil=coil.coil,
        zone=unit.zone.name,
        line=line.name,
        amplifier=line.amplifier.name,
        channel=line.channel,
        life_safety=line.life_safety,
        kind=line.kind,
        string=coil.string,
        order=coil.order,
        tap_w=coil.tap_w,
        plus=coil.plus,
        minus=coil.minus,
        cable=coil.cable,
        cable_m=coil.cable_m,
        make=unit.make_model.make.name if unit.make_model else "",
        model=unit.make_model.name if unit.make_model else "",
        impedance_ohm=spec and spec.impedance_ohm,
        min_impedance_ohm=spec and spec.min_impedance_ohm,
        power_w=spec and spec.power_w,
        sensitivity_db=spec and spec.sensitivity_db,
        insertion_loss_db=spec and spec.insertion_loss_db,
        taps_w=tuple(spec.taps_w) if spec else (),
    )
