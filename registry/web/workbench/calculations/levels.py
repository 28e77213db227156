"""Levels in dB: sums, means, level at a distance, power for a level, ratios, level of a zone at 2.83 V."""

from registry.engineering.exposure import exposure_caution
from registry.engineering.folding_drive import drive_of_volts_db, level_at_283_from_reading
from registry.engineering.level import (
    add_coherent_levels,
    add_levels,
    amplitude_ratio,
    db_of_amplitude,
    db_of_power,
    distance_change_db,
    level_at,
    mean_level,
    power_needed_w,
    power_ratio,
)
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.declaring import Answer, Calculation, Input, InputError, Result, Term
from registry.web.workbench.kinds import Choice, Number, Quantity
from registry.web.workbench.kinds_joined import WATTS, Several
from registry.web.workbench.showing import db

LEVEL = Quantity(unit="dB(A)", low=-20, high=160)
LEVELS = Several(of=LEVEL, most=40)
SENSITIVITY = Input(
    name="sensitivity",
    label="Sensitivity, at 1 W and 1 m",
    kind=Quantity(unit="dB", low=40, high=130),
    example="88 dB",
)
DISTANCE = Input(name="distance", label="Distance", kind=Quantity(unit="m", high=500, above=True), example="3 m")


def loud(level_db: float) -> tuple[str, ...]:
    """What stands beside a level from 80 dB(A) on."""
    words = exposure_caution(level_db)
    return (CAUTIONS["hearing"], words) if words else ()


def level_sum(*, levels: tuple[float, ...]) -> Answer:
    """Several sources together."""
    total, most = add_levels(levels), add_coherent_levels(levels)
    parts = " + ".join(f"10^({figure(level)}/10)" for level in levels)
    return Answer(
        says=f"Together {db(total)} dB; {db(most)} dB at most, where they are in phase.",
        results=(
            Result("level_db", "Sum of energies", total, "dB"),
            Result("in_phase_db", "In phase, the most", most, "dB"),
        ),
        formula=(Term("Sum of energies", f"10 lg({parts}) = {db(total)} dB"),),
        cautions=loud(most),
    )


def level_mean(*, levels: tuple[float, ...], durations: tuple[float, ...]) -> Answer:
    """The energy mean of spots or periods."""
    if durations and len(durations) != len(levels):
        raise InputError("durations", f"{len(durations)} durations for {len(levels)} levels: allowed is one for each")
    if durations and not any(durations):
        raise InputError("durations", "they are all 0: allowed is at least one above 0")
    mean = mean_level(levels, durations or None)
    weights = durations or (1.0,) * len(levels)
    parts = " + ".join(
        f"{figure(weight)} × 10^({figure(level)}/10)" if durations else f"10^({figure(level)}/10)"
        for level, weight in zip(levels, weights, strict=True)
    )
    return Answer(
        says=f"The energy mean is {db(mean)} dB; highest less lowest is {db(max(levels) - min(levels))} dB.",
        results=(
            Result("mean_db", "Energy mean", mean, "dB"),
            Result("spread_db", "Highest less lowest", max(levels) - min(levels), "dB"),
        ),
        formula=(Term("Energy mean", f"10 lg(({parts}) / {figure(sum(weights))}) = {db(mean)} dB"),),
        cautions=loud(mean),
    )


def level_at_distance(*, sensitivity: float, power: float, distance: float) -> Answer:
    """One loudspeaker at a distance."""
    level = level_at(sensitivity, power, distance)
    return Answer(
        says=f"{db(level)} dB on its axis, direct sound alone.",
        results=(
            Result("level_db", "Level there", level, "dB"),
            Result("distance_db", "Of that, distance", distance_change_db(1.0, distance), "dB"),
            Result("power_db", "Of that, power", db_of_power(power), "dB"),
        ),
        formula=(
            Term(
                "Level",
                f"S + 10 lg P − 20 lg d = {figure(sensitivity)} + 10 lg {figure(power)} − 20 lg {figure(distance)} "
                f"= {db(level)} dB",
            ),
        ),
        cautions=loud(level),
    )


def power_needed(*, target: float, sensitivity: float, distance: float, headroom: float) -> Answer:
    """The power for a level at a distance, with room for peaks."""
    mean = power_needed_w(target, sensitivity_db=sensitivity, distance_m=distance)
    peak = power_needed_w(target + headroom, sensitivity_db=sensitivity, distance_m=distance)
    shift = f"10^(({figure(target)} − {figure(sensitivity)} + 20 lg {figure(distance)}"
    return Answer(
        says=f"{figure(mean)} W for the level, {figure(peak)} W with {figure(headroom)} dB of headroom.",
        results=(
            Result("power_w", "For the level", mean, "W"),
            Result("peak_power_w", "With headroom", peak, "W"),
        ),
        formula=(
            Term("For the level", f"10^((L − S + 20 lg d)/10) = {shift})/10) = {figure(mean)} W"),
            Term("With headroom", f"{shift} + {figure(headroom)})/10) = {figure(peak)} W"),
        ),
        cautions=loud(target),
    )


def decibels(*, value: float, given: str) -> Answer:
    """A ratio in dB, or dB as ratios."""
    if given == "db":
        if abs(value) > 300:
            raise InputError("value", f"{figure(value)} dB is out of range: allowed is −300 to 300 dB")
        level, amplitude, power = value, amplitude_ratio(value), power_ratio(value)
    else:
        if not value > 0:
            raise InputError("value", f"a ratio of {figure(value)} has no level: allowed is above 0")
        level = db_of_amplitude(value) if given == "amplitude" else db_of_power(value)
        amplitude, power = amplitude_ratio(level), power_ratio(level)
    return Answer(
        says=f"{db(level)} dB: {figure(amplitude)} times the voltage, {figure(power)} times the power.",
        results=(
            Result("level_db", "Level difference", level, "dB"),
            Result("amplitude_ratio", "Ratio of voltages or pressures", amplitude),
            Result("power_ratio", "Ratio of powers", power),
        ),
        formula=(
            Term("Voltages, pressures", f"20 lg {figure(amplitude)} = {db(level)} dB"),
            Term("Powers", f"10 lg {figure(power)} = {db(level)} dB"),
        ),
    )


def zone_sensitivity(*, level: float, volts: float, wanted: float | None) -> Answer:
    """The level of a zone at 2.83 V, and the drive for a wanted level."""
    drive, at_283 = drive_of_volts_db(volts), level_at_283_from_reading(level_db=level, volts=volts)
    needed = None if wanted is None else wanted - at_283
    wants = "" if needed is None else f"; {db(needed)} dB re 2.83 V for the wanted level"
    return Answer(
        says=f"The zone has {db(at_283)} dB at 2.83 V{wants}.",
        results=(
            Result("level_at_283_db", "Level at 2.83 V", at_283, "dB"),
            Result("drive_db", "Drive while it was read, re 2.83 V", drive, "dB"),
            Result("needed_drive_db", "Drive for the wanted level", needed, "dB"),
        ),
        formula=(
            Term("Drive", f"20 lg(V / 2.83 V) = 20 lg({figure(volts)} / 2.83) = {db(drive)} dB"),
            Term("Level at 2.83 V", f"{figure(level)} dB − ({db(drive)} dB) = {db(at_283)} dB"),
        ),
        cautions=(*loud(max(level, wanted or level)), CAUTIONS["line"]),
    )


LEVEL_SUM = Calculation(
    name="level-sum",
    title="Sum of levels",
    question="How loud are several sources together?",
    inputs=(Input(name="levels", label="Levels", kind=LEVELS, example="70, 70, 65"),),
    compute=level_sum,
    source="Energy sum of incoherent sources, as in any acoustics text; sum of pressures where they are in phase.",
)
LEVEL_MEAN = Calculation(
    name="level-mean",
    title="Mean of levels",
    question="What is the level of a zone from its spots, or of a day from its periods?",
    inputs=(
        Input(name="levels", label="Levels", kind=LEVELS, example="62.1, 60.4, 58.9, 61.5, 59.8"),
        Input(
            name="durations",
            label="How long each lasted",
            kind=Several(of=Number(high=100_000), most=40),
            default="",
            help="Plain numbers in one unit of time; left empty, all count alike.",
        ),
    ),
    compute=level_mean,
    source="ISO 1996-1, equivalent continuous level; ISO 3744:2010, energy average over positions (from memory).",
)
LEVEL_AT_DISTANCE = Calculation(
    name="level-at-distance",
    title="Level at a distance",
    question="How loud is one loudspeaker there?",
    inputs=(SENSITIVITY, Input(name="power", label="Power at its terminals", kind=WATTS, example="2.5 W"), DISTANCE),
    compute=level_at_distance,
    source="IEC 60268-5 (characteristic sensitivity) and the inverse-square law (from memory).",
    notes=("Direct sound only: indoors the room adds to it, and beyond two or three metres this is a lower estimate.",),
)
POWER_NEEDED = Calculation(
    name="power-needed",
    title="Power for a level",
    question="How many watts does a level at that distance take?",
    inputs=(
        Input(name="target", label="Wanted level", kind=LEVEL, example="75 dB"),
        SENSITIVITY,
        DISTANCE,
        Input(
            name="headroom",
            label="Headroom for peaks",
            kind=Quantity(unit="dB", high=30),
            default="12",
            example="12 dB",
            help="12 dB for music: common practice.",
        ),
    ),
    compute=power_needed,
    source="IEC 60268-5 (characteristic sensitivity) and the inverse-square law (from memory), solved for the power.",
)
DECIBELS = Calculation(
    name="decibels",
    title="Ratios and decibels",
    question="How many dB is a ratio, and which ratio is so many dB?",
    inputs=(
        Input(name="value", label="Value", kind=Number(low=-300, high=1_000_000_000), example="0.5"),
        Input(
            name="given",
            label="It is",
            kind=Choice(
                {
                    "amplitude": "a ratio of voltages, currents or pressures",
                    "power": "a ratio of powers",
                    "db": "a level difference in dB",
                }
            ),
            default="amplitude",
            example="amplitude",
        ),
    ),
    compute=decibels,
    source="IEC 60027-3, definition of the decibel (from memory).",
)
ZONE_SENSITIVITY = Calculation(
    name="zone-level-at-2-83-v",
    title="Level of a zone at 2.83 V",
    question="How loud is this zone for its drive, and what drive does the wanted level take?",
    inputs=(
        Input(name="level", label="Level read at the spot", kind=LEVEL, example="60 dB", help="Without background."),
        Input(
            name="volts",
            label="Voltage at the channel's terminals meanwhile",
            kind=Quantity(unit="V", high=200, above=True),
            example="0.283 V",
        ),
        Input(name="wanted", label="Wanted level", kind=LEVEL, default="", example="58 dB"),
    ),
    compute=zone_sensitivity,
    source="A linear system moves dB for dB (derived); 2.83 V is common practice.",
    notes=("One number holds loudspeakers, taps, cable and room; the fold plan asks for it.",),
)
