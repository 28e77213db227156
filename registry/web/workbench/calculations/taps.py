"""Taps of line transformers: watts, ohms, and what another line voltage makes of them."""

from registry.engineering.level import db_of_power
from registry.engineering.line_parts import LINE_VOLTS
from registry.engineering.taps import (
    USABLE_SHARE,
    largest_equal_tap_w,
    primary_power_w,
    tap_impedance_ohm,
    tap_power_w,
)
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.declaring import Answer, Calculation, Check, Input, Result, Term
from registry.web.workbench.kinds import Choice, Quantity, Whole
from registry.web.workbench.kinds_joined import WATTS
from registry.web.workbench.showing import db

VOLTS = Choice({kind: f"{kind} V" for kind in LINE_VOLTS})
SHOCK = (CAUTIONS["line"],)


def _volts(kind: str) -> float:
    return {str(name): volts for name, volts in LINE_VOLTS.items()}[kind]


def tap(*, tap: float, rated: str, line: str, insertion_loss: float) -> Answer:
    """What one tap is to its line."""
    rated_v = _volts(rated)
    got = tap_power_w(rated_w=tap, rated_v=rated_v, line_v=_volts(line))
    ohm = tap_impedance_ohm(line_v=rated_v, tap_w=tap)
    asked = primary_power_w(tap_w=got, insertion_loss_db=insertion_loss)
    change = db_of_power(got / tap)
    check = _tap_check(tap, got, rated=rated, line=line)
    watts, w = figure(tap), figure(got)
    return Answer(
        says=check.says,
        verdict=check.verdict,
        results=(
            Result("impedance_ohm", "It stands for", ohm, "ohm"),
            Result("power_w", "On that line it takes", got, "W"),
            Result("change_db", "Against its own voltage", change, "dB"),
            Result("asked_w", "It asks of the amplifier", asked, "W"),
        ),
        formula=(
            Term("Impedance", f"V²/P = ({rated} V)² / {watts} W = {figure(ohm)} Ω"),
            Term("Power", f"P (V/V rated)² = {watts} W × ({line} V / {rated} V)² = {w} W, {db(change)} dB"),
            Term("At the amplifier", f"P × 10^(loss/10) = {w} W × 10^({db(insertion_loss)}/10) = {figure(asked)} W"),
        ),
        cautions=SHOCK,
    )


def _tap_check(tap: float, got: float, *, rated: str, line: str) -> Check:
    takes = f"A {figure(tap)} W tap for {rated} V takes {figure(got)} W on {line} V"
    if got > tap * (1 + 1e-9):
        return Check("tap", "fail", f"{takes}: transformer and loudspeaker are overloaded.")
    return Check("tap", "pass", f"{takes}.")


def largest_tap(*, amplifier: float, loudspeakers: int, margin: str) -> Answer:
    """The largest tap that all loudspeakers of a line may have."""
    share = USABLE_SHARE if margin == "yes" else 1.0
    watts = largest_equal_tap_w(amplifier_w=amplifier, loudspeakers=loudspeakers, usable_share=share)
    return Answer(
        says=f"{figure(watts)} W each at most: set the next lower tap that the loudspeaker has.",
        results=(Result("tap_w", "Largest equal tap", watts, "W"),),
        formula=(
            Term(
                "Largest tap",
                f"share × P / n = {share:g} × {figure(amplifier)} W / {loudspeakers} = {figure(watts)} W",
            ),
        ),
        cautions=SHOCK,
    )


TAP = Calculation(
    name="tap",
    title="A transformer tap",
    question="What does a tap stand for, and what does it take on another line voltage?",
    inputs=(
        Input(name="tap", label="Tap", kind=WATTS, example="10 W"),
        Input(name="rated", label="The tap is meant for", kind=VOLTS, example="100"),
        Input(name="line", label="The line has", kind=VOLTS, example="70.7"),
        Input(
            name="insertion_loss",
            label="Insertion loss of the transformer",
            kind=Quantity(unit="dB", high=6),
            default="0",
            example="0.5 dB",
        ),
    ),
    compute=tap,
    source="Joule's law at a fixed impedance; insertion loss as guides to constant-voltage systems give it.",
)
LARGEST_TAP = Calculation(
    name="largest-tap",
    title="Largest equal tap",
    question="How many watts may each loudspeaker of the line be set to?",
    inputs=(
        Input(name="amplifier", label="The amplifier is rated", kind=WATTS, example="60 W"),
        Input(name="loudspeakers", label="Loudspeakers", kind=Whole(low=1, high=1000), example="10"),
        Input(
            name="margin",
            label="Leave 20 % of it unused",
            kind=Choice({"yes": "yes (common practice)", "no": "no"}),
            default="yes",
            example="yes",
        ),
    ),
    compute=largest_tap,
    source="Watts add up on a constant-voltage line; the margin of 20 % is common practice.",
)
