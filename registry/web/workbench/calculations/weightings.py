"""Frequency weighting: A and C at a frequency, and weighted levels from bands."""

from registry.engineering.level import add_levels
from registry.engineering.weighting_curve import NOMINAL_HZ, exact_frequency_hz, weighted_level, weighting_db
from registry.engineering.wording import figure
from registry.web.workbench.calculations.levels import LEVEL, loud
from registry.web.workbench.declaring import Answer, Calculation, Column, Input, InputError, Result, Table, Term
from registry.web.workbench.kinds import Quantity
from registry.web.workbench.kinds_joined import Cell, Rows
from registry.web.workbench.showing import db

SOURCE = "IEC 61672-1:2013, 5.5 and Annex E, as public restatements give them."
BANDS = (
    Column("band_hz", "Band", "Hz"),
    Column("level_db", "Level", "dB"),
    Column("a_db", "A weighting", "dB"),
    Column("weighted_db", "Weighted", "dB"),
)
HERTZ = Quantity(unit="Hz", low=10, high=20_000)


def weighting(*, frequency: float) -> Answer:
    """A and C weighting at one frequency."""
    exact = exact_frequency_hz(frequency) if frequency in NOMINAL_HZ else frequency
    a, c = weighting_db(exact, "A"), weighting_db(exact, "C")
    f = f"{exact:.6g} Hz"
    return Answer(
        says=f"A weighting {db(a)} dB, C weighting {db(c)} dB at {figure(frequency)} Hz.",
        results=(
            Result("a_db", "A weighting", a, "dB"),
            Result("c_db", "C weighting", c, "dB"),
            Result("frequency_hz", "Exact frequency", exact, "Hz"),
        ),
        formula=(
            Term("Frequency", f"{figure(frequency)} Hz, taken as {f}"),
            Term("C", f"20 lg(12194² f² / ((f² + 20.6²)(f² + 12194²))) + 0.06 dB, f = {f}: {db(c)} dB"),
            Term("A", f"C + 20 lg(f² / √((f² + 107.7²)(f² + 737.9²))) + 1.94 dB, f = {f}: {db(a)} dB"),
        ),
    )


def band_level(*, bands: tuple[tuple[float, float], ...]) -> Answer:
    """Weighted levels from octave or third-octave bands."""
    levels = dict(bands)
    if len(levels) < len(bands):
        raise InputError("bands", "a band is given twice: allowed is one level for each band")
    strange = [figure(frequency) for frequency in levels if frequency not in NOMINAL_HZ]
    if strange:
        raise InputError("bands", f"{strange[0]} Hz is no band: allowed are names such as 63, 125, 250 … 8000 Hz")
    a, c, z = weighted_level(levels, "A"), weighted_level(levels, "C"), add_levels(list(levels.values()))
    rows = tuple((f, level, weighting_db(exact_frequency_hz(f)), _weighted(f, level)) for f, level in levels.items())
    parts = " + ".join(f"10^({db(row[3])}/10)" for row in rows)
    return Answer(
        says=f"{db(a)} dB(A), {db(c)} dB(C), {db(z)} dB unweighted.",
        results=(
            Result("a_dba", "A-weighted", a, "dB"),
            Result("c_dbc", "C-weighted", c, "dB"),
            Result("z_db", "Unweighted", z, "dB"),
            Result("c_less_a_db", "C less A, a sign of bass", c - a, "dB"),
        ),
        formula=(Term("A-weighted level", f"10 lg({parts}) = {db(a)} dB"),),
        tables=(Table("bands", "Band by band", BANDS, rows),),
        cautions=loud(a),
    )


def _weighted(frequency: float, level: float) -> float:
    return weighted_level({frequency: level}, "A")


WEIGHTING = Calculation(
    name="weighting",
    title="A and C weighting",
    question="What does the meter's weighting do at this frequency?",
    inputs=(Input(name="frequency", label="Frequency", kind=HERTZ, example="100 Hz"),),
    compute=weighting,
    source=SOURCE,
    notes=("At a third-octave name the exact mid-band frequency 1000 × 10^(n/10) Hz is taken.",),
)
BAND_LEVEL = Calculation(
    name="band-level",
    title="Level from bands",
    question="What would the meter show, A- and C-weighted, for these octave or third-octave levels?",
    inputs=(
        Input(
            name="bands",
            label="Bands",
            kind=Rows(cells=(Cell("band", HERTZ), Cell("level", LEVEL)), most=34),
            example="63 Hz, 62\n125 Hz, 60\n250 Hz, 57\n500 Hz, 54\n1000 Hz, 52\n2000 Hz, 49\n4000 Hz, 45\n8000 Hz, 40",
            help="One a line: band, level in dB.",
        ),
    ),
    compute=band_level,
    source=f"{SOURCE} Energy sum.",
)
