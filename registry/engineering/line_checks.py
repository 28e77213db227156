"""The verdicts on a solved line: load, rating, power, series, cable, taps."""

import math
from typing import Final

from registry.engineering.amplifier import ROUNDING, at_least
from registry.engineering.cable import loop_resistance_ohm
from registry.engineering.checks import Check
from registry.engineering.line_parts import Coil, LineSpec, String
from registry.engineering.line_result import CoilLoad, LineLoad
from registry.engineering.load_checks import line_watts_check, low_load_check
from registry.engineering.wording import figure, listed

# Published rule (installer's guides): loop resistance at most 10 % of the load. 3 dB, half the power, is our limit.
CABLE_WARN_RATIO: Final = 0.10
CABLE_FAIL_DB: Final = 3.0


def checks_of(line: LineLoad) -> tuple[Check, ...]:
    """Everything that is judged on a line, the load first.

    Parameters:
        line: the solved figures.
    Returns:
        Checks with the codes load, rating, power, series, cable and tap; those that do not apply are left out.
    Raises:
        ValueError: nothing beyond what LineSpec refuses.
    Source: each check names its own.

    >>> from registry.engineering.line import Channel, low_impedance_line
    >>> line = low_impedance_line(strings=[String("1", (Coil("LS1", impedance_ohm=8.0),))], channel=Channel())
    >>> [(check.code, check.verdict) for check in checks_of(line)]
    [('load', 'unknown'), ('power', 'unknown'), ('cable', 'unknown')]
    """
    if line.kind == "low":
        return (
            low_load_check(line),
            *_rating(line),
            _power(line),
            *_series(line.spec),
            _cable(line),
            *_stray_taps(line),
        )
    return (line_watts_check(line), _power(line), _cable(line), *_taps(line))


def _rating(line: LineLoad) -> list[Check]:
    """A load between the lowest allowed and the lowest rated: allowed, but with no power to compute from."""
    allowed = line.channel_minimum_ohm is not None and at_least(line.impedance_ohm or 0.0, line.channel_minimum_ohm)
    if not (line.outside_rating and allowed):
        return []
    lowest_ohm = min(rated.load_ohm for rated in line.spec.channel.rated)
    says = f"No power is rated below {figure(lowest_ohm)} Ω: the figures use the voltage at {figure(lowest_ohm)} Ω."
    return [Check("rating", "warn", says)]


def _power(line: LineLoad) -> Check:
    """Common practice: no loudspeaker gets more than its rated power at full output."""
    over = [coil for coil in line.loudspeakers if _exceeds(coil)]
    if over:
        watts = [f"{figure(c.power_w or 0.0)} W (rated {figure(c.rated_w or 0.0)} W)" for c in over]
        each = listed([f"{name} {got}" for name, got in zip(line.spec.called(over), watts, strict=True)])
        return Check("power", "warn", f"At full output more than the rated power would reach: {each}.")
    if any(coil.power_w is None for coil in line.loudspeakers):
        return Check(
            "power", "unknown", "What each loudspeaker gets is not known, because the load or the channel is not."
        )
    unrated = line.spec.called(coil for coil in line.loudspeakers if coil.rated_w is None)
    if unrated:
        return Check("power", "unknown", f"The rated power of {listed(unrated)} is not known.")
    return Check("power", "pass", "At full output no loudspeaker gets more than its rated power.")


def _exceeds(coil: CoilLoad) -> bool:
    return coil.power_w is not None and coil.rated_w is not None and coil.power_w > coil.rated_w * (1 + ROUNDING)


def _series(spec: LineSpec) -> list[Check]:
    return [_one_string(spec, string) for string in spec.strings if len(string.coils) > 1]


def _one_string(spec: LineSpec, string: String) -> Check:
    says = f"String {string.name}: one open coil silences {listed(spec.called(string.coils))}."
    models = {coil.model for coil in string.coils} - {""}
    if len(models) > 1:
        says += f" {listed(sorted(models))} are unlike: in series they share the voltage unevenly, and by frequency."
    return Check("series", "warn", says)


def _cable(line: LineLoad) -> Check:
    """Loop resistance by its effect on the loudspeaker that loses most: loss = 20 lg(1 + R/Z)."""
    known = [coil for coil in line.loudspeakers if coil.cable_loss_db is not None]
    worst = max(known, key=lambda coil: coil.cable_loss_db or 0.0, default=None)
    loss_db = worst.cable_loss_db or 0.0 if worst else 0.0
    unknown = _without_cable(line.spec)
    if worst and loss_db > CABLE_FAIL_DB:
        return Check("cable", "fail", f"{_costs(line, worst, loss_db)}: half the power or more.")
    if unknown:
        stricter = "It counts as no resistance, which makes the load on the channel the heavier one."
        return Check("cable", "unknown", f"Size or length of the cable to {listed(unknown)} is not known. {stricter}")
    if worst is None:
        return Check("cable", "unknown", "What the cable costs is not known, because the load is not.")
    if 10 ** (loss_db / 20) - 1 > CABLE_WARN_RATIO * (1 + ROUNDING):
        return Check("cable", "warn", f"{_costs(line, worst, loss_db)}; keep it to 10 % of the load (published rule).")
    if len(known) < len(line.loudspeakers):
        return Check(
            "cable", "unknown", "What the cable costs is not known for every loudspeaker, because a load is not."
        )
    return Check("cable", "pass", f"{_costs(line, worst, loss_db)}.")


def _costs(line: LineLoad, coil: CoilLoad, loss_db: float) -> str:
    share = 100 * (10 ** (loss_db / 20) - 1)
    return f"The cable costs {line.spec.called([coil])[0]} {loss_db:.2f} dB ({figure(round(share, 2))} % of its load)"


def _without_cable(spec: LineSpec) -> list[str]:
    return spec.called(c for c in spec.coils if c.cable is None or loop_resistance_ohm(c.cable) is None)


def _taps(line: LineLoad) -> list[Check]:
    """Common practice: on a constant-voltage line every loudspeaker has a transformer, set to one of its taps."""
    spec = line.spec
    checks = [_no_transformer(spec, coil) for coil in spec.coils if _lacks_transformer(coil)]
    checks += [_odd_tap(spec, coil) for coil in spec.coils if not _tap_is_offered(coil)]
    unknown = spec.called(coil for coil in spec.coils if coil.tap_w is None and not _lacks_transformer(coil))
    if unknown:
        checks.append(Check("tap", "unknown", f"The tap of {listed(unknown)} is not known."))
    says = f"Every loudspeaker is on a tap; its watts are taken as those at {spec.kind} V, so read the plate."
    return checks or [Check("tap", "pass", says)]


def _lacks_transformer(coil: Coil) -> bool:
    return coil.tap_w is None and not coil.taps_w and coil.impedance_ohm is not None


def _no_transformer(spec: LineSpec, coil: Coil) -> Check:
    watts = (spec.line_v or 0.0) ** 2 / (coil.impedance_ohm or math.inf)
    name, ohm = spec.called([coil])[0], figure(coil.impedance_ohm or 0.0)
    says = f"{name} of {ohm} Ω is not a transformer tap: on {spec.kind} V it would ask for {figure(watts)} W."
    return Check("tap", "fail", says)


def _tap_is_offered(coil: Coil) -> bool:
    return coil.tap_w is None or not coil.taps_w or any(math.isclose(coil.tap_w, tap_w) for tap_w in coil.taps_w)


def _odd_tap(spec: LineSpec, coil: Coil) -> Check:
    offered = listed([figure(tap_w) for tap_w in sorted(coil.taps_w)])
    name = spec.called([coil])[0]
    return Check(
        "tap", "warn", f"{name} is recorded on {figure(coil.tap_w or 0.0)} W, but its model offers {offered} W."
    )


def _stray_taps(line: LineLoad) -> list[Check]:
    tapped = line.spec.called(coil for coil in line.spec.coils if coil.tap_w is not None)
    if not tapped:
        return []
    says = f"A tap is recorded for {listed(tapped)} on a low-impedance line: a transformer does not belong there."
    return [Check("tap", "warn", says)]
