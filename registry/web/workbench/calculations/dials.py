"""The level control that staff touch: the cap, what a position gives, the position for a change."""

import math

from registry.drawings.dial_curve import DialCurve, draw_dial_curve
from registry.engineering.dial import Taper, cap_for, dial_for, drive_db, output_percent
from registry.engineering.wording import figure
from registry.web.workbench.declaring import Answer, Calculation, Drawing, Input, InputError, Result, Term
from registry.web.workbench.kinds import Choice, Quantity
from registry.web.workbench.kinds_joined import Cell, Rows
from registry.web.workbench.showing import db

POSITION = Quantity(unit="%", high=100)
ABOVE_ZERO = Quantity(unit="%", high=100, above=True)
SOURCE = (
    "Output follows dial × cap: common practice (30 % uncapped is a 60 % cap at 50 %). Tapers: common practice; the "
    "true law of a product is not known until it is measured."
)
CAP = Input(name="cap", label="Cap now", kind=ABOVE_ZERO, default="100", example="100 %", help="100 % is no cap.")
TAPER = Input(
    name="taper",
    label="Taper of the control",
    kind=Choice({"linear": "linear", "audio": "audio, 60 dB over its travel", "measured": "measured points"}),
    default="linear",
    example="linear",
)
POINTS = Input(
    name="points",
    label="Measured points",
    kind=Rows(cells=(Cell("position", POSITION), Cell("level", Quantity(unit="dB", low=-120, high=60))), most=40),
    default="",
    help="For a measured taper, one a line: position, level; from low to high: 50 %, -10 dB.",
)
Points = tuple[tuple[float, float], ...]


def _taper(taper: str, points: Points) -> Taper:
    if taper == "measured":
        if len(points) < 2:
            raise InputError("points", f"{len(points)} points: allowed is 2 or more, position and level on each line")
        return points
    return "audio" if taper == "audio" else "linear"


def _curve(position: float, cap: float, *, points: Points = ()) -> str:
    curve = DialCurve("Level over the position of the control", round(position, 1), cap, points)
    return draw_dial_curve(curve, ident="dial-curve")


def _dial_curve(dial: float, cap: float, *, points: Points) -> Drawing:
    """The drawing calls the position that it marks the default position; here it is where the dial stands."""
    svg = (
        _curve(dial, cap, points=points)
        .replace("at its default position", "at")
        .replace("at the default position", "there")
    )
    return Drawing(svg.replace("default position", "dial"))


def cap_to_default(*, dial: float, cap: float, default_position: float) -> Answer:
    """The cap that puts today's output at the default position."""
    try:
        wanted = cap_for(dial, cap, default_position)
    except ValueError as error:
        raise InputError("dial", str(error)) from error
    output = output_percent(dial, cap)
    return Answer(
        says=f"A cap of {figure(wanted)} % gives the same output with the dial at {figure(default_position)} %.",
        results=(
            Result("cap_percent", "New cap", wanted, "%"),
            Result("output_percent", "Output, uncapped position", output, "%"),
        ),
        formula=(
            Term("Output", f"dial × cap = {figure(dial)} % × {figure(cap)} % = {figure(output)} %"),
            Term(
                "New cap",
                f"output / default position = {figure(output)} % / {figure(default_position)} % = {figure(wanted)} %",
            ),
        ),
        drawings=(Drawing(_curve(default_position, wanted)),),
    )


def dial_level(*, dial: float, cap: float, taper: str, points: Points) -> Answer:
    """The level that a position gives."""
    law = _taper(taper, points)
    try:
        level = drive_db(dial, cap, law)
    except ValueError as error:
        raise InputError("points" if taper == "measured" else "dial", str(error)) from error
    output = output_percent(dial, cap)
    off = math.isinf(level)
    how = {
        "linear": f"20 lg({figure(output)} / 100)",
        "audio": f"60 dB × ({figure(output)} / 100 − 1)",
        "measured": f"between the measured points, at {figure(output)} %",
    }[taper]
    return Answer(
        says="The control is off." if off else f"{db(level)} dB against full output, at {figure(output)} % uncapped.",
        results=(
            Result("level_db", "Level against full output", "off" if off else level, "dB"),
            Result("output_percent", "Output, uncapped position", output, "%"),
        ),
        formula=(
            Term("Output", f"dial × cap = {figure(dial)} % × {figure(cap)} % = {figure(output)} %"),
            Term("Level", f"{how} = {db(level)} dB"),
        ),
        drawings=(_dial_curve(dial, cap, points=points),),
    )


def dial_change(*, change: float, dial: float, cap: float, taper: str, points: Points) -> Answer:
    """The position that changes the level by some dB."""
    law = _taper(taper, points)
    try:
        now, wanted = drive_db(dial, cap, law), dial_for(change, dial=dial, cap=cap, taper=law)
    except ValueError as error:
        raise InputError("change", str(error)) from error
    return Answer(
        says=f"Set the dial to {figure(wanted)} %.",
        results=(
            Result("dial_percent", "New position of the dial", wanted, "%"),
            Result("now_db", "Level now, against full output", now, "dB"),
            Result("then_db", "Level then", drive_db(wanted, cap, law), "dB"),
        ),
        formula=(
            Term("Level wanted", f"{db(now)} dB + ({db(change)} dB) = {db(drive_db(wanted, cap, law))} dB"),
            Term("Position", f"the {taper} taper gives that at {figure(wanted)} % under a cap of {figure(cap)} %"),
        ),
        drawings=(_dial_curve(wanted, cap, points=points),),
    )


CAP_TO_DEFAULT = Calculation(
    name="cap",
    title="Cap for the default position",
    question="Which cap gives today's output with the dial at its default position?",
    inputs=(
        Input(name="dial", label="Dial now", kind=ABOVE_ZERO, example="30 %"),
        CAP,
        Input(
            name="default_position",
            label="Default position",
            kind=ABOVE_ZERO,
            default="50",
            example="50 %",
        ),
    ),
    compute=cap_to_default,
    source=SOURCE,
)
DIAL_LEVEL = Calculation(
    name="dial-level",
    title="Level of a position",
    question="What level does this dial give under this cap?",
    inputs=(Input(name="dial", label="Dial", kind=POSITION, example="50 %"), CAP, TAPER, POINTS),
    compute=dial_level,
    source=SOURCE,
)
DIAL_CHANGE = Calculation(
    name="dial-change",
    title="Position for a change",
    question="Where does the dial go for a few dB more or less?",
    inputs=(
        Input(
            name="change",
            label="Wanted change",
            kind=Quantity(unit="dB", low=-60, high=60),
            example="-6 dB",
            help="Below zero is quieter.",
        ),
        Input(name="dial", label="Dial now", kind=POSITION, example="80 %"),
        CAP,
        TAPER,
        POINTS,
    ),
    compute=dial_change,
    source=SOURCE,
)
