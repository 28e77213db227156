"""The verdict that matters most: whether the channel may drive this load."""

from typing import Final

from registry.engineering.amplifier import ROUNDING, at_least
from registry.engineering.checks import Check
from registry.engineering.line_parts import MINIMUM_SHARE, Coil, LineSpec, load_of, pieces, string_network
from registry.engineering.line_result import LineLoad
from registry.engineering.network import Parallel, impedance
from registry.engineering.taps import USABLE_SHARE, primary_power_w
from registry.engineering.wording import counted, figure, listed, number_word

# Common practice: a load within 10 % of the lowest allowed is said to have no margin.
NO_MARGIN: Final = 1.1


def low_load_check(line: LineLoad) -> Check:
    """Judge a low-impedance load: fail below what the channel allows, warn when its minimum dips far below.

    Loads that are not known leave it unknown, unless the known strings alone are too heavy already.

    Parameters:
        line: a solved low-impedance line.
    Returns:
        The check "load".
    Raises:
        ValueError: nothing beyond what LineSpec refuses.
    Source: common practice; 80 % of nominal by IEC 60268-5 cl. 16.1 (as restated).

    >>> from registry.engineering.line import Channel, String, low_impedance_line
    >>> strings = [String(str(n), (Coil(f"LS{n}", impedance_ohm=8.0),)) for n in range(6)]
    >>> low_load_check(low_impedance_line(strings=strings, channel=Channel(min_load_ohm=4.0))).says
    'Six loudspeakers of 8 Ω in parallel load the channel with 1.33 Ω; it allows 4 Ω or more.'
    """
    limit_ohm = line.channel_minimum_ohm
    if line.impedance_ohm is None:
        return _unknown_impedance(line, limit_ohm)
    loads = f"{_described(line.spec)} the channel with {figure(line.impedance_ohm)} Ω"
    if limit_ohm is None:
        return Check("load", "unknown", f"{loads}; what it allows is not known.")
    allows = f"{loads}; it allows {figure(limit_ohm)} Ω or more"
    if not at_least(line.impedance_ohm, limit_ohm):
        return Check("load", "fail", f"{allows}.")
    lowest_ohm = line.minimum_impedance_ohm
    if lowest_ohm is not None and not at_least(lowest_ohm, MINIMUM_SHARE * limit_ohm):
        return Check("load", "warn", f"{allows}, but the impedance dips to {figure(lowest_ohm)} Ω.")
    margin = ": no margin" if line.impedance_ohm < NO_MARGIN * limit_ohm else ""
    return Check("load", "pass", f"{allows}{margin}.")


def line_watts_check(line: LineLoad) -> Check:
    """Judge the watts that a constant-voltage line asks for, insertion loss included, against the channel's rating.

    Above the rating fails; above 80 % of it warns. Taps that are not known leave it unknown, unless the known ones are
    too much already. An insertion loss that is not known counts as 0 dB, and the sentence says so.

    Parameters:
        line: a solved constant-voltage line.
    Returns:
        The check "load".
    Raises:
        ValueError: nothing beyond what LineSpec refuses.
    Source: watts add up; 20 % margin is common practice.

    >>> from registry.engineering.line import Channel, String, constant_voltage_line
    >>> string = String("1", tuple(Coil(f"LS{n}", tap_w=6.0, insertion_loss_db=0.0) for n in range(10)))
    >>> channel = Channel(line_power_w={100.0: 75.0})
    >>> line_watts_check(constant_voltage_line(line_v=100, strings=[string], channel=channel)).says
    'Ten loudspeakers ask for 60 W at 100 V: 80 % of the 75 W that the channel is rated.'
    """
    spec, rated_w = line.spec, line.channel_power_w
    asked = [watts_asked(coil, spec) for coil in spec.coils]
    total_w = sum(watts for watts in asked if watts is not None)
    unknown = [coil for coil, watts in zip(spec.coils, asked, strict=True) if watts is None]
    if rated_w is not None and total_w > rated_w * (1 + ROUNDING):
        return Check("load", "fail", f"{_asks(spec, total_w, len(unknown))}: the channel is rated {figure(rated_w)} W.")
    if unknown:
        return Check(
            "load", "unknown", f"The tap of {listed(spec.called(unknown))} is not known, so the load is not either."
        )
    if rated_w is None:
        return Check(
            "load", "unknown", f"{_asks(spec, total_w, 0)}; the channel's rating at that voltage is not known."
        )
    share = f"{figure(100 * total_w / rated_w)} % of the {figure(rated_w)} W that the channel is rated"
    says = f"{_asks(spec, total_w, 0)}: {share}"
    if total_w > USABLE_SHARE * rated_w * (1 + ROUNDING):
        return Check("load", "warn", f"{says}; leave 20 % unused (common practice).{_counted_as_nothing(spec)}")
    return Check("load", "pass", f"{says}.{_counted_as_nothing(spec)}")


def watts_asked(coil: Coil, spec: LineSpec) -> float | None:
    """What one loudspeaker asks of a constant-voltage line: its tap with insertion loss, or V²/R without a transformer.

    Parameters:
        coil: the coil.
        spec: the constant-voltage line it is on.
    Returns:
        Power [W]; None when its tap is not known.
    Raises:
        ValueError: the line is a low-impedance one.
    Source: as `taps.primary_power_w`.

    >>> from registry.engineering.line import Channel, String
    >>> coil = Coil("LS1", impedance_ohm=8.0)
    >>> round(watts_asked(coil, LineSpec("70.7", (String("1", (coil,)),), Channel())))
    625
    """
    if spec.line_v is None:
        raise ValueError("watts are asked of a constant-voltage line, got a low-impedance one")
    if coil.tap_w is not None:
        return primary_power_w(tap_w=coil.tap_w, insertion_loss_db=coil.insertion_loss_db or 0.0)
    load_ohm = load_of(coil, spec.line_v)
    return None if load_ohm is None else spec.line_v**2 / load_ohm


def _unknown_impedance(line: LineLoad, limit_ohm: float | None) -> Check:
    spec = line.spec
    known = [string_network(spec.kind, string) for string in pieces(spec) if string is not None]
    if known and limit_ohm is not None and not at_least(impedance(Parallel(known)), limit_ohm):
        loads = f"The known part of the line alone loads the channel with {figure(impedance(Parallel(known)))} Ω"
        return Check("load", "fail", f"{loads}; it allows {figure(limit_ohm)} Ω or more.")
    unknown = [coil for coil in spec.coils if coil.impedance_ohm is None]
    return Check(
        "load", "unknown", f"The impedance of {listed(spec.called(unknown))} is not known, so the load is not either."
    )


def _described(spec: LineSpec) -> str:
    """Who loads the channel, and how they are wired, up to the verb."""
    count, verb = len(spec.coils), "loads" if len(spec.coils) == 1 else "load"
    who = counted(count, _noun(spec))
    ohms = {coil.impedance_ohm for coil in spec.coils}
    of = f" of {figure(ohms.pop() or 0.0)} Ω" if len(ohms) == 1 else ""
    lengths = {len(string.coils) for string in spec.strings}
    if count == 1:
        return f"{who}{of} {verb}"
    if lengths == {1}:
        return f"{who}{of} in parallel {verb}"
    if len(spec.strings) == 1:
        return f"{who}{of} in series {verb}"
    each = f" of {number_word(lengths.pop()).lower()}" if len(lengths) == 1 else ""
    return f"{who}{of} in {counted(len(spec.strings), 'string').lower()}{each} {verb}"


def _noun(spec: LineSpec) -> str:
    return "loudspeaker" if len({coil.label for coil in spec.coils}) == len(spec.coils) else "coil"


def _asks(spec: LineSpec, total_w: float, unknown: int) -> str:
    known = len(spec.coils) - unknown
    verb = "asks" if known == 1 else "ask"
    lossy = any(coil.tap_w is not None and coil.insertion_loss_db for coil in spec.coils)
    included = ", insertion loss included" if lossy else ""
    return f"{counted(known, _noun(spec))} {verb} for {figure(total_w)} W at {spec.kind} V{included}"


def _counted_as_nothing(spec: LineSpec) -> str:
    unknown = sum(coil.tap_w is not None and coil.insertion_loss_db is None for coil in spec.coils)
    if not unknown:
        return ""
    return f" Insertion loss is not known for {unknown} of {len(spec.coils)} and counts as 0 dB."
