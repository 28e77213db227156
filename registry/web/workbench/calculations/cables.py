"""Loudspeaker cable: resistance, what it costs, how long it may be, how thick it must be."""

from registry.engineering.cable import (
    Cable,
    cable_power_share,
    conductor_area_mm2,
    conductor_resistance_ohm_per_m,
    longest_run_m,
    loop_ohm,
    loop_ratio,
    loss_db,
    smallest_area_mm2,
)
from registry.engineering.wording import figure
from registry.web.workbench.declaring import Answer, Calculation, Column, Input, InputError, Result, Table, Term
from registry.web.workbench.kinds import Choice, Quantity, WireSize
from registry.web.workbench.kinds_joined import CablePiece, LoadOhm
from registry.web.workbench.showing import db, shown

AWG_SIZES = ("22 AWG", "20 AWG", "18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG")
METRIC_SIZES = ("0.5 mm2", "0.75 mm2", "1 mm2", "1.5 mm2", "2.5 mm2", "4 mm2", "6 mm2", "10 mm2")
COPPER = "ASTM B258 diameters or nominal mm², annealed copper 1.7241e-8 Ω·m at 20 °C (IEC 60028, from memory)"
METHODS = {
    "geometry": "solid copper from its size",
    "stranded": "stranded, 2 % more for the lay",
    "iec": "the most IEC 60228 class 5 allows",
}
CABLE = Input(
    name="cable",
    label="Cable",
    kind=CablePiece(),
    example="100 ft of 18 AWG",
    help="One-way length of size; both conductors are counted.",
)
LOAD = Input(
    name="load",
    label="Load at its end",
    kind=LoadOhm(),
    example="4 ohm",
    help="Ohms, or the taps of a line: 60 W at 70.7 V.",
)
ALLOWED_LOSS = Input(
    name="loss",
    label="Level that the cable may cost",
    kind=Quantity(unit="dB", high=20, above=True),
    default="0.5",
    example="0.5 dB",
)


def _parts(cable: Cable) -> tuple[str, float]:
    return cable.size or "", cable.length_m or 0.0


def _resistance(size: str, temperature: float, *, method: str) -> float:
    if method == "iec":
        try:
            return conductor_resistance_ohm_per_m(size, temperature, iec_60228_maximum=True)
        except ValueError as error:
            raise InputError("method", str(error)) from error
    return conductor_resistance_ohm_per_m(size, temperature, stranded=method == "stranded")


def cable_resistance(*, cable: Cable, temperature: float, method: str) -> Answer:
    """Resistance of a piece of cable there and back."""
    size, length_m = _parts(cable)
    per_m = _resistance(size, temperature, method=method)
    loop = loop_ohm(length_m=length_m, ohm_per_m=per_m)
    return Answer(
        says=f"{shown(length_m, 'm')} of {size} has {figure(loop)} Ω there and back.",
        results=(
            Result("loop_ohm", "There and back", loop, "ohm"),
            Result("conductor_mohm_per_m", "One conductor", per_m * 1000, "mΩ/m"),
            Result("area_mm2", "Copper of each conductor", conductor_area_mm2(size), "mm²"),
        ),
        formula=(
            Term("Loop resistance", f"2 l r = 2 × {figure(length_m)} m × {figure(per_m)} Ω/m = {figure(loop)} Ω"),
        ),
    )


def cable_loss(*, cable: Cable, load: float, figure_wanted: str) -> Answer:
    """What a cable costs, in the three figures that go by that name."""
    size, length_m = _parts(cable)
    loop = loop_ohm(length_m=length_m, ohm_per_m=conductor_resistance_ohm_per_m(size))
    both = {"load_ohm": load, "loop_ohm": loop}
    level, ratio, share = loss_db(**both), 100 * loop_ratio(**both), 100 * cable_power_share(**both)
    r, z = f"{figure(loop)} Ω", f"{figure(load)} Ω"
    says = {
        "level": f"The cable costs {db(level)} dB of level",
        "ratio": f"The loop resistance is {figure(ratio)} % of the load",
        "share": f"The cable turns {figure(share)} % of the power into heat",
    }[figure_wanted]
    return Answer(
        says=f"{says}: {r} before a load of {z}.",
        results=(
            Result("loss_db", "Loss of level", level, "dB"),
            Result("ratio_percent", "Loop resistance over load", ratio, "%"),
            Result("power_share_percent", "Power that heats the cable", share, "%"),
            Result("loop_ohm", "Loop resistance", loop, "ohm"),
        ),
        formula=(
            Term("Level", f"20 lg(1 + R/Z) = 20 lg(1 + {r} / {z}) = {db(level)} dB"),
            Term("Ratio", f"R/Z = {r} / {z} = {figure(ratio)} %"),
            Term("Power in the cable", f"R/(R + Z) = {r} / ({r} + {z}) = {figure(share)} %"),
        ),
    )


def longest_run(*, load: float, size: str, loss: float) -> Answer:
    """How far a size may run, and how far the usual ones may."""
    run = longest_run_m(load, size, loss_db=loss)
    per_m = conductor_resistance_ohm_per_m(size)
    rows = tuple((each, longest_run_m(load, each, loss_db=loss)) for each in AWG_SIZES + METRIC_SIZES)
    columns = (Column("size", "Size"), Column("run_m", "Longest run, one way", "m"))
    return Answer(
        says=f"{size} may run {shown(run, 'm')} one way for {db(loss)} dB.",
        results=(Result("run_m", "Longest run, one way", run, "m"),),
        formula=(
            Term(
                "Longest run",
                f"Z (10^(loss/20) − 1) / 2r = {figure(load)} Ω × (10^({db(loss)}/20) − 1) / (2 × {figure(per_m)} Ω/m) "
                f"= {figure(run)} m",
            ),
        ),
        tables=(Table("usual_sizes", "Usual sizes for the same load and loss", columns, rows),),
    )


def cable_size(*, load: float, length: float, loss: float) -> Answer:
    """How thick the conductors must be."""
    area = smallest_area_mm2(load, length, loss_db=loss)
    enough = [
        next((size for size in sizes if conductor_area_mm2(size) >= area), None) for sizes in (AWG_SIZES, METRIC_SIZES)
    ]
    next_sizes = " or ".join(size for size in enough if size) or "more than 10 mm2: part the load, or raise the voltage"
    return Answer(
        says=f"{figure(area)} mm² at least for {shown(length, 'm')} one way: {next_sizes}.",
        results=(
            Result("area_mm2", "Smallest area of each conductor", area, "mm²"),
            Result("next_sizes", "Next usual sizes", next_sizes),
        ),
        formula=(
            Term(
                "Smallest area",
                f"2 ρ l / (Z (10^(loss/20) − 1)) = 2 × 0.017241 Ω·mm²/m × {figure(length)} m / "
                f"({figure(load)} Ω × (10^({db(loss)}/20) − 1)) = {figure(area)} mm²",
            ),
        ),
    )


CABLE_RESISTANCE = Calculation(
    name="cable-resistance",
    title="Cable resistance",
    question="What is the resistance of this cable, there and back?",
    inputs=(
        CABLE,
        Input(
            name="temperature",
            label="Temperature of the copper",
            kind=Quantity(unit="degC", low=-50, high=150),
            default="20",
            example="20",
        ),
        Input(name="method", label="Taken as", kind=Choice(METHODS), default="geometry", example="geometry"),
    ),
    compute=cable_resistance,
    source=f"{COPPER}; 0.00393 1/K; IEC 60228 class 5 as restated; 2 % for stranding: ASTM B8, from memory.",
)
CABLE_LOSS = Calculation(
    name="cable-loss",
    title="Cable loss",
    question="What does this cable cost at the loudspeaker?",
    inputs=(
        CABLE,
        LOAD,
        Input(
            name="figure_wanted",
            label="Figure to answer with",
            kind=Choice(
                {
                    "level": "level, 20 lg(1 + R/Z), in dB",
                    "ratio": "ratio, R/Z, in %",
                    "share": "power in the cable, R/(R + Z), in %",
                }
            ),
            default="level",
            example="level",
            help="Three figures go by the name of cable loss; all are given, the first of them leads.",
        ),
    ),
    compute=cable_loss,
    source=f"Voltage divider, 20 lg of the ratio of voltages; {COPPER}.",
    notes=(
        "Published rules keep R/Z to 5 % on low-impedance and 10 % on constant-voltage lines. Wire charts often call "
        "it “power loss”, which it is not.",
    ),
)
LONGEST_RUN = Calculation(
    name="longest-run",
    title="Longest run",
    question="How far may this cable run before it costs too much?",
    inputs=(
        Input(name="load", label="Load at its end", kind=LoadOhm(), example="8 ohm", help=LOAD.help),
        Input(name="size", label="Size of each conductor", kind=WireSize(), example="16 AWG"),
        ALLOWED_LOSS,
    ),
    compute=longest_run,
    source=f"The loss of level solved for the length; {COPPER}.",
)
CABLE_SIZE = Calculation(
    name="cable-size",
    title="Cable size",
    question="How thick must the cable be for this run?",
    inputs=(
        LOAD,
        Input(
            name="length",
            label="One-way length",
            kind=Quantity(unit="m", high=2000, above=True),
            example="30 m",
        ),
        ALLOWED_LOSS,
    ),
    compute=cable_size,
    source=f"The loss of level solved for the area; {COPPER}.",
)
