"""What stands on labels: only what is recorded, in the names of the register."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Literal

from django.db.models import Q, QuerySet

from registry.audio.models import Coil, LineKind, Loudspeaker
from registry.audio.schematics import size_shown
from registry.engineering.units import show_quantity
from registry.equipment.models import Place, Placement, Status
from registry.reports.fitting import HARD_SPACE
from sites.models import Rack, Site, YesNoUnknown

NO_ALTERING: Final = "Fire or voice alarm? Do not alter"
Address = Callable[[Rack | Place], str]


class LabelKind(StrEnum):
    """What can be labelled."""

    RACKS = "racks"
    PLACES = "places"
    CABLES = "cables"
    LOUDSPEAKERS = "loudspeakers"


@dataclass(frozen=True, slots=True)
class Label:
    """The identifier, what stands small below it, and the address of its QR code where it has one."""

    identifier: str
    details: tuple[str, ...] = ()
    address: str = ""


def labels_of(site: Site, kinds: Collection[str], *, address: Address, rack: Rack | None = None) -> list[Label]:
    """Return the labels of a site, or of one rack: its places, and the lines that its amplifiers drive.

    `address` gives the page behind a rack or place. A constant number of queries.
    """
    made: list[Label] = []
    if LabelKind.RACKS in kinds:
        made += _rack_labels(site, rack, address)
    if LabelKind.PLACES in kinds:
        made += _place_labels(site, rack, address)
    if LabelKind.CABLES in kinds:
        made += _cable_labels(site, rack)
    if LabelKind.LOUDSPEAKERS in kinds:
        made += _loudspeaker_labels(site, rack)
    return made


def counts_of(site: Site) -> dict[LabelKind, int]:
    """Return how many racks, places, pieces of cable and loudspeakers of a site can be labelled. Four queries."""
    return {
        LabelKind.RACKS: Rack.objects.filter(site=site).count(),
        LabelKind.PLACES: _places(site, None).count(),
        LabelKind.CABLES: _coils(site, None).count(),
        LabelKind.LOUDSPEAKERS: Loudspeaker.objects.filter(site=site).count(),
    }


def _rack_labels(site: Site, rack: Rack | None, address: Address) -> Iterator[Label]:
    racks = Rack.objects.filter(site=site).select_related("space").order_by("name")
    for each in racks if rack is None else [rack]:
        where = (site.code, each.space.name if each.space else "", _held(str(each.height_u), "U"))
        yield Label(each.name, (_joined(where),), address(each))


def _places(site: Site, rack: Rack | None) -> QuerySet[Place]:
    """Return the places that are filled or still to be filled; what was taken out for good needs no label."""
    once = Placement.objects.filter(place__site=site)
    there = once.filter(current=True).exclude(item__status=Status.REMOVED)
    gone = Q(pk__in=once.values("place")) & ~Q(pk__in=there.values("place"))
    places = Place.objects.filter(site=site).exclude(gone)
    return places.filter(rack=rack) if rack else places


def _place_labels(site: Site, rack: Rack | None, address: Address) -> Iterator[Label]:
    for place in _places(site, rack).select_related("rack").order_by("name"):
        unit = f"U{place.position_u}" if place.position_u else ""
        where = (site.code, place.rack.name if place.rack else "", unit)
        yield Label(place.name, (_joined(where),), address(place))


def _coils(site: Site, rack: Rack | None) -> QuerySet[Coil]:
    coils = Coil.objects.filter(line__site=site)
    return coils.filter(line__amplifier__rack=rack) if rack else coils


def _cable_labels(site: Site, rack: Rack | None) -> Iterator[Label]:
    """Two labels for each piece: it feeds a loudspeaker from the one before it, or from the amplifier."""
    coils = _coils(site, rack).select_related("line__amplifier", "loudspeaker")
    ordered = list(coils.order_by("line__name", "line_id", "string", "order", "pk"))
    inputs = Counter(coil.loudspeaker_id for coil in ordered)
    before: Coil | None = None
    for coil in ordered:
        follows = before is not None and (before.line_id, before.string) == (coil.line_id, coil.string)
        amplifier = f"{coil.line.amplifier.name} {_held('ch', coil.line.channel)}"
        start = _end(before, inputs) if before is not None and follows else amplifier
        yield from _both_ends(site, coil, start, _end(coil, inputs))
        before = coil


def _end(coil: Coil, inputs: Counter[int]) -> str:
    """Name a coil by its loudspeaker; by its number too where the loudspeaker has several."""
    several = inputs[coil.loudspeaker_id] > 1
    return f"{coil.loudspeaker.label} {_held('coil', coil.coil)}" if several else coil.loudspeaker.label


def _both_ends(site: Site, coil: Coil, start: str, end: str) -> Iterator[Label]:
    details = (f"{coil.line.name}, {_held('string', coil.string)}", _cable(site, coil), *_flag(coil))
    for here in (start, end):
        yield Label(f"{start} → {end}", (f"this end: {here}", *details))


def _cable(site: Site, coil: Coil) -> str:
    units: Literal["metric", "us"] = "us" if site.units == "us" else "metric"
    size = size_shown(coil.cable) or "size not known"
    length = show_quantity(coil.cable_m, "m", units) if coil.cable_m is not None else "length not known"
    colours = [_held(sign, colour) for sign, colour in (("+", coil.plus), ("−", coil.minus)) if colour]
    return ", ".join([size, length, *colours])


def _flag(coil: Coil) -> tuple[str, ...]:
    return () if coil.line.life_safety == YesNoUnknown.NO else (NO_ALTERING,)


def _loudspeaker_labels(site: Site, rack: Rack | None) -> Iterator[Label]:
    wired: dict[int, list[Coil]] = {}
    for coil in _coils(site, rack).select_related("line").order_by("line__name", "coil", "pk"):
        wired.setdefault(coil.loudspeaker_id, []).append(coil)
    loudspeakers = Loudspeaker.objects.filter(site=site).order_by("label")
    for each in loudspeakers.filter(pk__in=wired) if rack else loudspeakers:
        coils = wired.get(each.pk, [])
        flagged = [flag for coil in coils for flag in _flag(coil)]
        yield Label(each.label, (*_wiring(coils), *flagged[:1]))


def _wiring(coils: Iterable[Coil]) -> tuple[str, ...]:
    said = [f"{c.line.name}, {_held('string', c.string)}, {_held('coil', c.coil)}{_tap(c)}" for c in coils]
    return tuple(said) or ("not connected",)


def _tap(coil: Coil) -> str:
    """Name the tap; on a constant-voltage line it matters that nobody recorded it."""
    if coil.tap_w is not None:
        return f", {_held('tap', f'{coil.tap_w:g}', 'W')}"
    return "" if coil.line.kind == LineKind.LOW else ", tap not known"


def _joined(parts: Iterable[str]) -> str:
    return ", ".join(part for part in parts if part)


def _held(*parts: str) -> str:
    """Join what a row must not part."""
    return HARD_SPACE.join(parts)
