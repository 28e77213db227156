"""A rack, what stands in it, and where: units, faces and collisions."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final, Literal, TypeAlias, get_args

from registry.engineering.bounds import in_range
from registry.engineering.limits import above_zero, zero_or_more

Face: TypeAlias = Literal["front", "rear", "both"]

# IEC 60297-3-100 and EIA-310-D, as public restatements give them (panel width and clearance from memory).
RACK_UNIT_MM: Final = 44.45
HOLE_PITCHES_MM: Final = (15.875, 15.875, 12.7)
HOLE_CENTRES_MM: Final = 465.1
PANEL_WIDTH_MM: Final = 482.6
PANEL_CLEARANCE_MM: Final = 25.4 / 32
TALLEST_U: Final = 100


@dataclass(frozen=True, slots=True)
class Rack:
    """A rack and what feeds it; None where it is not known.

    height_u: units, 1 to 100. max_load_kg: what it may carry. circuit_v, circuit_a: the circuit that feeds it and the
    rating of its overcurrent device. ups_va, ups_w, ups_wh: the UPS that feeds the whole rack, if any. All above 0.
    """

    height_u: int
    max_load_kg: float | None = None
    circuit_v: float | None = None
    circuit_a: float | None = None
    ups_va: float | None = None
    ups_w: float | None = None
    ups_wh: float | None = None

    def __post_init__(self) -> None:
        in_range("height_u", self.height_u, 1, TALLEST_U, unit="U")
        for name in ("max_load_kg", "circuit_v", "circuit_a", "ups_va", "ups_w", "ups_wh"):
            value = getattr(self, name)
            if value is not None:
                above_zero(**{name: value})


@dataclass(frozen=True, slots=True)
class RackItem:
    """One thing in a rack; None where it is not known.

    label: unique in the rack. rack_units: how many it takes, 0 for something that hangs beside the rails. position_u:
    the lowest unit it occupies, counted from 1 at the bottom. face: the rails it stands on; "both" for one that fills
    the depth. weight_kg, idle_w, max_w: 0 or more.
    """

    label: str
    rack_units: int | None = None
    position_u: int | None = None
    face: Face = "front"
    weight_kg: float | None = None
    idle_w: float | None = None
    max_w: float | None = None

    def __post_init__(self) -> None:
        if self.face not in get_args(Face):
            raise ValueError(f"face of {self.label} must be front, rear or both, got {self.face!r}")
        if self.position_u is not None:
            in_range(f"position_u of {self.label}", self.position_u, 1, TALLEST_U, unit="U")
        for name in ("rack_units", "weight_kg", "idle_w", "max_w"):
            value = getattr(self, name)
            if value is not None:
                zero_or_more(**{f"{name} of {self.label}": value})

    @property
    def units(self) -> range | None:
        """The units it occupies; None when its place or its size is not known."""
        if self.position_u is None or self.rack_units is None:
            return None
        return range(self.position_u, self.position_u + self.rack_units)


@dataclass(frozen=True, slots=True)
class Collision:
    """Two items that would stand in the same units of the same rails."""

    first: str
    second: str
    units: tuple[int, ...]


def height_mm(units: float) -> float:
    """Height of a number of rack units: n × 44.45 mm.

    Parameters:
        units: 0 or more [U].
    Returns:
        Height [mm].
    Raises:
        ValueError: units out of range.
    Source: IEC 60297-3-100 / EIA-310-D, as public restatements give them.

    >>> height_mm(42)
    1866.9
    """
    zero_or_more(units=units)
    return round(units * RACK_UNIT_MM, 9)


def panel_height_mm(units: int) -> float:
    """Height of a front panel, which leaves 1/32 in of clearance: n × 44.45 mm − 0.79 mm.

    Parameters:
        units: 1 or more [U].
    Returns:
        Height [mm].
    Raises:
        ValueError: units out of range.
    Source: EIA-310-D (from memory).

    >>> round(panel_height_mm(1), 2)
    43.66
    """
    in_range("units", units, 1, TALLEST_U, unit="U")
    return units * RACK_UNIT_MM - PANEL_CLEARANCE_MM


def collisions(items: Sequence[RackItem]) -> tuple[Collision, ...]:
    """Pairs of items that claim the same units of the same rails; items without a known place or size claim none.

    Parameters:
        items: what stands in the rack.
    Returns:
        Collisions, in the order of the items.
    Raises:
        ValueError: two items with the same label.
    Source: common practice; front and rear rails are separate, an item that fills the depth takes both.

    >>> collisions([RackItem("AMP 1", 2, 5), RackItem("SW 1", 1, 6), RackItem("PDU", 1, 6, "rear")])
    (Collision(first='AMP 1', second='SW 1', units=(6,)),)
    """
    refuse_same_label(items)
    return tuple(
        Collision(a.label, b.label, tuple(sorted(shared)))
        for a, b in combinations(items, 2)
        if (shared := set(a.units or ()) & set(b.units or ())) and (a.face == b.face or "both" in (a.face, b.face))
    )


def refuse_same_label(items: Sequence[RackItem]) -> None:
    """Refuse items that cannot be told apart.

    Parameters:
        items: what stands in the rack.
    Raises:
        ValueError: two items with the same label.
    Source: ours.

    >>> refuse_same_label([RackItem("AMP 1"), RackItem("AMP 1")])
    Traceback (most recent call last):
    ValueError: AMP 1 is in the rack twice: give each item its own label
    """
    for label, count in Counter(item.label for item in items).items():
        if count > 1:
            raise ValueError(f"{label} is in the rack {'twice' if count == 2 else f'{count} times'}: " + _REMEDY)


_REMEDY: Final = "give each item its own label"
