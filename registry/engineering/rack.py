"""A rack's tally: units, weight, watts, heat, current and battery, each with its verdict."""

import math
from collections.abc import Sequence
from typing import Literal, TypeAlias

from registry.engineering.checks import Check, Verdict
from registry.engineering.poe import PoeBudget, PoeClass, poe_budget, poe_class, poe_delivered_w, poe_needed_w
from registry.engineering.power import (
    airflow_cfm,
    airflow_m3_per_h,
    battery_used_ah,
    circuit_limit_a,
    current_a,
    heat_btu_per_h,
    smallest_circuit_a,
    ups_minutes,
)
from registry.engineering.rack_checks import circuit_check, units_check, ups_check, weight_check
from registry.engineering.rack_parts import (
    RACK_UNIT_MM,
    Collision,
    Face,
    Rack,
    RackItem,
    collisions,
    height_mm,
    panel_height_mm,
    refuse_same_label,
)
from registry.engineering.rack_result import RackLoad, Tally

__all__ = [
    "RACK_UNIT_MM",
    "Check",
    "Collision",
    "Face",
    "PoeBudget",
    "PoeClass",
    "Rack",
    "RackItem",
    "RackLoad",
    "Verdict",
    "airflow_cfm",
    "airflow_m3_per_h",
    "battery_used_ah",
    "circuit_limit_a",
    "collisions",
    "current_a",
    "heat_btu_per_h",
    "height_mm",
    "panel_height_mm",
    "poe_budget",
    "poe_class",
    "poe_delivered_w",
    "poe_needed_w",
    "rack_load",
    "smallest_circuit_a",
    "ups_minutes",
]

Summed: TypeAlias = Literal["weight_kg", "idle_w", "max_w"]


def rack_load(*, rack: Rack, items: Sequence[RackItem]) -> RackLoad:
    """Add up a rack and judge it: units and collisions, weight, current on the circuit, UPS.

    An unknown is named and never counted as zero: the sum of the known is a least, and its check is unknown unless the
    known alone are too much. Every watt of `max_w` is taken as continuous and as heat, with a power factor of 1.

    Parameters:
        rack: the rack and what feeds it.
        items: what stands in it, each label once.
    Returns:
        Figures and the checks "units", "weight", "current" and, where there is a UPS, "ups".
    Raises:
        ValueError: two items with the same label.
    Source: IEC 60297-3-100 (units); NEC 210.20(A) (80 %); energy balance (UPS); International Table BTU (heat).

    >>> amplifier = RackItem("AMP 1", 2, 1, weight_kg=10.0, idle_w=40.0, max_w=600.0)
    >>> switch = RackItem("SW 1", 1, 3, weight_kg=3.0)
    >>> rack = Rack(12, max_load_kg=100.0, circuit_v=120.0, circuit_a=20.0)
    >>> load = rack_load(rack=rack, items=[amplifier, switch])
    >>> load.used_u, load.free_u, load.weight_kg, load.current_a, load.circuit_limit_a
    (3, 9, 13.0, 5.0, 16.0)
    >>> load.says
    'At full power the rack draws at least 5 A; the maximum watts of SW 1 are not known.'
    """
    refuse_same_label(items)
    weight, idle, peak = _tally(items, "weight_kg"), _tally(items, "idle_w"), _tally(items, "max_w")
    used_u = _used_u(items)
    amperes = (
        None if peak.total is None or rack.circuit_v is None else current_a(watts=peak.total, volts=rack.circuit_v)
    )
    minutes = _minutes(rack, peak.total)
    unplaced = tuple(item.label for item in items if item.units is None and item.rack_units != 0)
    return RackLoad(
        used_u=used_u,
        free_u=None if used_u is None else rack.height_u - used_u,
        weight_kg=weight.total,
        idle_w=idle.total,
        max_w=peak.total,
        heat_btu_h=None if peak.total is None else heat_btu_per_h(peak.total),
        current_a=amperes,
        circuit_limit_a=None if rack.circuit_a is None else circuit_limit_a(rack.circuit_a),
        ups_minutes=minutes,
        unknown={"units": unplaced, "weight_kg": weight.unknown, "idle_w": idle.unknown, "max_w": peak.unknown},
        checks=(
            units_check(rack, items, used_u),
            weight_check(rack, weight),
            circuit_check(rack, peak, amperes),
            *ups_check(rack, peak, minutes),
        ),
    )


def _tally(items: Sequence[RackItem], field: Summed) -> Tally:
    values = [(item.label, getattr(item, field)) for item in items]
    known = [value for _, value in values if value is not None]
    total = math.fsum(known) if known or not items else None
    return Tally(total, tuple(label for label, value in values if value is None))


def _used_u(items: Sequence[RackItem]) -> int | None:
    """Units that stand somewhere, each once, and those of items whose place is not known."""
    known = [item for item in items if item.rack_units is not None]
    if items and not known:
        return None
    placed = {unit for item in known for unit in item.units or ()}
    return len(placed) + sum(item.rack_units or 0 for item in known if item.units is None)


def _minutes(rack: Rack, load_w: float | None) -> float | None:
    if rack.ups_wh is None or not load_w:
        return None
    return ups_minutes(load_w=load_w, energy_wh=rack.ups_wh)
