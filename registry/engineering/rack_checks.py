"""The verdicts on a rack: units, weight, current, UPS."""

from collections.abc import Sequence

from registry.engineering.amplifier import ROUNDING
from registry.engineering.checks import Check
from registry.engineering.power import circuit_limit_a
from registry.engineering.rack_parts import Rack, RackItem, collisions
from registry.engineering.rack_result import Tally
from registry.engineering.wording import figure, listed


def units_check(rack: Rack, items: Sequence[RackItem], used_u: int | None) -> Check:
    """Judge the places: nothing outside the rack, nothing twice in the same units, and room for all.

    Parameters:
        rack: the rack.
        items: what stands in it.
        used_u: units taken, None when no size is known [U].
    Returns:
        The check "units".
    Raises:
        ValueError: two items with the same label.
    Source: IEC 60297-3-100 for the unit; common practice for the rest.

    >>> units_check(Rack(6), [RackItem("AMP 1", 2, 6)], 2).says
    'AMP 1 stands above the 6 units of the rack.'
    """
    outside = [item.label for item in items if item.units and item.units[-1] > rack.height_u]
    if outside:
        verb = "stands" if len(outside) == 1 else "stand"
        return Check("units", "fail", f"{listed(outside)} {verb} above the {rack.height_u} units of the rack.")
    clashes = [f"{c.first} and {c.second} both claim U {_span(c.units)}" for c in collisions(items)]
    if clashes:
        return Check("units", "fail", f"{listed(clashes)}.")
    if used_u is not None and used_u > rack.height_u:
        return Check("units", "fail", f"The items need {used_u} units; the rack has {rack.height_u}.")
    unknown = [item.label for item in items if item.units is None and item.rack_units != 0]
    if unknown:
        return Check("units", "unknown", f"The place or the height of {listed(unknown)} is not known.")
    return Check("units", "pass", f"{used_u} of {rack.height_u} units are used.")


def weight_check(rack: Rack, weight: Tally) -> Check:
    """Judge the weight against what the rack may carry; an unknown weight leaves it unknown unless it is over already.

    Parameters:
        rack: the rack.
        weight: sum and unknowns [kg].
    Returns:
        The check "weight".
    Raises:
        ValueError: nothing beyond what Rack refuses.
    Source: common practice; the maker's load rating decides.

    >>> weight_check(Rack(12, max_load_kg=50.0), Tally(60.0, ("AMP 2",))).says
    'The items weigh at least 60 kg; the rack may carry 50 kg.'
    """
    if weight.total is None:
        return Check("weight", "unknown", f"The weight of {listed(weight.unknown)} is not known.")
    weighs = f"The items weigh {weight.at_least}{figure(weight.total)} kg"
    if rack.max_load_kg is not None and weight.total > rack.max_load_kg * (1 + ROUNDING):
        return Check("weight", "fail", f"{weighs}; the rack may carry {figure(rack.max_load_kg)} kg.")
    if weight.unknown:
        return Check("weight", "unknown", f"{weighs}; the weight of {listed(weight.unknown)} is not known.")
    if rack.max_load_kg is None:
        return Check("weight", "unknown", f"{weighs}; what the rack may carry is not known.")
    return Check("weight", "pass", f"{weighs}; the rack may carry {figure(rack.max_load_kg)} kg.")


def circuit_check(rack: Rack, peak: Tally, amperes: float | None) -> Check:
    """Judge the current at full power against 80 % of the circuit, the limit for a continuous load.

    Parameters:
        rack: the rack and its circuit.
        peak: sum of maximum watts and unknowns [W].
        amperes: the current that the sum draws, None when not known [A].
    Returns:
        The check "current".
    Raises:
        ValueError: nothing beyond what Rack refuses.
    Source: NEC 210.20(A), as quoted in a data bulletin; local codes and licensed practice decide.

    >>> circuit_check(Rack(12, circuit_v=120.0, circuit_a=15.0), Tally(1800.0, ()), 15.0).verdict
    'fail'
    """
    if amperes is None:
        missing = f"the maximum watts of {listed(peak.unknown)}" if peak.total is None else "the voltage of the circuit"
        return Check("current", "unknown", f"The current is not known without {missing}.")
    draws = f"At full power the rack draws {peak.at_least}{figure(amperes)} A"
    limit_a = None if rack.circuit_a is None else circuit_limit_a(rack.circuit_a)
    if limit_a is not None and amperes > limit_a * (1 + ROUNDING):
        return Check("current", "fail", f"{draws}; {_limit(rack.circuit_a, limit_a)} Local codes decide.")
    if peak.unknown:
        return Check("current", "unknown", f"{draws}; the maximum watts of {listed(peak.unknown)} are not known.")
    if limit_a is None:
        return Check("current", "unknown", f"{draws}; the rating of the circuit is not known.")
    return Check("current", "pass", f"{draws}; {_limit(rack.circuit_a, limit_a)}")


def ups_check(rack: Rack, peak: Tally, minutes: float | None) -> list[Check]:
    """Judge the UPS, if there is one, as if it fed the whole rack: watts and volt-amperes at full power, and minutes.

    Parameters:
        rack: the rack and its UPS.
        peak: sum of maximum watts and unknowns [W].
        minutes: battery time for that sum by energy balance, None when not known [min].
    Returns:
        The check "ups", or nothing.
    Raises:
        ValueError: nothing beyond what Rack refuses.
    Source: energy balance; batteries give less with age and at high rates (common practice).

    >>> ups_check(Rack(12, ups_va=500.0, ups_w=300.0), Tally(400.0, ()), None)[0].says
    'At full power the rack asks for 400 W; the UPS gives 300 W.'
    """
    ratings = [value for value in (rack.ups_w, rack.ups_va) if value is not None]
    if not ratings and rack.ups_wh is None:
        return []
    if peak.total is None:
        return [Check("ups", "unknown", f"The maximum watts of {listed(peak.unknown)} are not known.")]
    asks = f"At full power the rack asks for {peak.at_least}{figure(peak.total)} W"
    lasts = f" It lasts about {figure(minutes)} min by energy balance only: test it." if minutes is not None else ""
    if ratings and peak.total > min(ratings) * (1 + ROUNDING):
        return [Check("ups", "fail", f"{asks}; the UPS gives {figure(min(ratings))} W.")]
    if peak.unknown:
        return [Check("ups", "unknown", f"{asks}; the maximum watts of {listed(peak.unknown)} are not known.")]
    if not ratings:
        return [Check("ups", "unknown", f"{asks}; what the UPS gives is not known.{lasts}")]
    return [Check("ups", "pass", f"{asks}; the UPS gives {figure(min(ratings))} W.{lasts}")]


def _limit(circuit_a: float | None, limit_a: float) -> str:
    return f"a {figure(circuit_a or 0.0)} A circuit takes {figure(limit_a)} A of continuous load (NEC 210.20(A))."


def _span(units: tuple[int, ...]) -> str:
    return str(units[0]) if len(units) == 1 else f"{units[0]} to {units[-1]}"
