"""Readings and what they prove: background, mean and uncertainty, and a reading against its baseline."""

from registry.drawings.level_strip import LevelStrip, draw_level_strip
from registry.drawings.marks import StripWord
from registry.engineering.background import RULES, Corrected, Rule, correct_for_background
from registry.engineering.measure import Comparison, Measured, Occasion, compare, mean_and_uncertainty
from registry.engineering.wording import figure
from registry.web.workbench.calculations.levels import LEVEL, loud
from registry.web.workbench.declaring import Answer, Calculation, Drawing, Input, Result, Term
from registry.web.workbench.kinds import Choice, Quantity
from registry.web.workbench.kinds_joined import Several
from registry.web.workbench.showing import db

READINGS = Several(of=LEVEL, most=40)
CLASSES = Choice({"1": "class 1", "2": "class 2", "phone": "a phone", "unknown": "not recorded"})
SAME = Choice({"same": "the same", "other": "another, or not recorded"})
WORDS: dict[str, StripWord] = {"within": "within", "out": "out", "undecided": "undecided"}
GUM = (
    "JCGM 100:2008, 4.2, 4.3, G.4; meter limits at 1 kHz of IEC 61672-1:2013 Table 3, as restated; a phone: common "
    "practice."
)


def background(*, level: float, noise: float, rule: Rule) -> Answer:
    """Take the background off a level."""
    found = correct_for_background(level, noise, rule)
    known = found.level_db is not None
    shown = db(found.upper_bound_db)
    return Answer(
        says=f"{shown} dB without the background." if known else f"At most {shown} dB: {found.note}.",
        verdict="pass" if known else "unknown",
        results=(
            Result("level_db", "Level without the background", found.level_db, "dB"),
            Result("upper_bound_db", "It is at most", found.upper_bound_db, "dB"),
            Result("correction_db", "Taken off", found.correction_db, "dB"),
            Result("difference_db", "On less off", found.difference_db, "dB"),
        ),
        formula=(
            Term("On less off", f"{figure(level)} − {figure(noise)} = {db(found.difference_db)} dB"),
            Term("Correction", _correction(found)),
        ),
        cautions=loud(level),
        notes=(f"By {RULES[rule].name}.",),
    )


def _correction(found: Corrected) -> str:
    if found.level_db is None or not found.correction_db:
        return found.note
    return f"K1 = −10 lg(1 − 10^(−{db(found.difference_db)}/10)) = {db(found.correction_db)} dB"


def _measured(
    readings: tuple[float, ...], meter: str, *, resolution: float = 0.1, occasion: Occasion | None = None
) -> Measured:
    meter_class = None if meter == "unknown" else meter
    return mean_and_uncertainty(readings, meter_class, resolution_db=resolution, occasion=occasion)


def mean_uncertainty(*, readings: tuple[float, ...], meter: str, resolution: float) -> Answer:
    """Mean of repeated readings at one spot, with its uncertainty."""
    found = _measured(readings, meter, resolution=resolution)
    parts = ", ".join(db(part) for part in (found.repeat_db, found.handling_db, found.meter_db))
    return Answer(
        says=f"{db(found.level_db)} ± {db(found.expanded_db)} dB (k = {found.k:.2f}, 95 %).",
        results=(
            Result("mean_db", "Mean", found.level_db, "dB"),
            Result("expanded_db", "Expanded uncertainty", found.expanded_db, "dB"),
            Result("standard_db", "Standard uncertainty", found.standard_db, "dB"),
            Result("k", "Coverage factor", found.k),
            Result("repeat_db", "Of that, spread of the readings", found.repeat_db, "dB"),
            Result("handling_db", "Of that, display and placing", found.handling_db, "dB"),
            Result("meter_db", "Of that, the meter", found.meter_db, "dB"),
        ),
        formula=(
            Term(
                "Mean", f"({' + '.join(figure(each) for each in readings)}) / {found.count} = {db(found.level_db)} dB"
            ),
            Term("Standard uncertainty", f"root of the sum of squares of {parts} dB = {db(found.standard_db)} dB"),
            Term(
                "Expanded uncertainty", f"k u = {found.k:.2f} × {db(found.standard_db)} dB = {db(found.expanded_db)} dB"
            ),
        ),
        cautions=loud(found.level_db),
        notes=(found.assumed[0].upper() + found.assumed[1:] + ".",) if found.assumed else (),
    )


def against_baseline(
    *,
    readings: tuple[float, ...],
    baseline: tuple[float, ...],
    tolerance: float,
    meter: str,
    baseline_meter: str,
    same_meter: str,
    same_spot: str,
    same_track: str,
) -> Answer:
    """Whether a level has left its baseline, with what the meter can prove."""
    then = Occasion("meter", "spot", "track")
    names = (("meter", same_meter), ("spot", same_spot), ("track", same_track))
    now = Occasion(*(name if same == "same" else None for name, same in names))
    measured, base = _measured(readings, meter, occasion=now), _measured(baseline, baseline_meter, occasion=then)
    found = compare(measured, base, tolerance)
    return Answer(
        says=f"{db(found.change_db)} ± {db(found.guard_db)} dB from the baseline; tolerance ± {db(tolerance)} dB.",
        drift=found.verdict,
        results=(
            Result("verdict", "Verdict", found.verdict),
            Result("change_db", "Change from the baseline", found.change_db, "dB"),
            Result("guard_db", "Smallest change these readings can prove", found.guard_db, "dB"),
            Result("reading_db", "Reading, mean", measured.level_db, "dB"),
            Result("baseline_db", "Baseline, mean", base.level_db, "dB"),
        ),
        formula=_compared(measured, base, found=found),
        drawings=(_strip(measured, base, found=found),),
        cautions=loud(max(measured.level_db, base.level_db)),
        notes=(found.case[0].upper() + found.case[1:] + ".",),
    )


def _compared(reading: Measured, base: Measured, *, found: Comparison) -> tuple[Term, ...]:
    tolerance, guard = found.tolerance_db, found.guard_db
    both = f"{db(tolerance)} − {db(guard)} = {db(tolerance - guard)} dB"
    apart = f"{db(tolerance)} + {db(guard)} = {db(tolerance + guard)} dB"
    return (
        Term("Change", f"{db(reading.level_db)} − {db(base.level_db)} = {db(found.change_db)} dB"),
        Term("Within", f"|change| ≤ tolerance − U = {both}"),
        Term("Out", f"|change| > tolerance + U = {apart}"),
    )


def _strip(reading: Measured, base: Measured, *, found: Comparison) -> Drawing:
    strip = LevelStrip(
        title="Reading against baseline",
        word=WORDS[found.verdict],
        baseline_db=base.level_db,
        tolerance_db=found.tolerance_db,
        reading_db=reading.level_db,
        uncertainty_db=found.guard_db,
    )
    return Drawing(draw_level_strip(strip, ident="strip"))


BACKGROUND = Calculation(
    name="background",
    title="Level without background",
    question="What is left of a reading when the background noise is taken away?",
    inputs=(
        Input(name="level", label="Level with the source on", kind=LEVEL, example="60 dB"),
        Input(name="noise", label="Level with it off, same spot and meter", kind=LEVEL, example="52 dB"),
        Input(
            name="rule",
            label="Rule",
            kind=Choice(
                {
                    "iso_3744": "ISO 3744: from 6 dB apart",
                    "iso_1996_2": "ISO 1996-2: from 3 dB apart",
                    "astm_e336": "ASTM E336: from 5 dB apart",
                }
            ),
            default="iso_3744",
            example="iso_3744",
            help="Nearer than the rule allows there is only an upper bound, never a number.",
        ),
    ),
    compute=background,
    source="ISO 3744:2010, 8.2.3; ISO 1996-2:2017; ASTM E336-11, as public restatements give them.",
)
METER = Input(name="meter", label="Meter", kind=CLASSES, default="unknown", example="2")
MEAN_UNCERTAINTY = Calculation(
    name="mean-and-uncertainty",
    title="Mean and uncertainty",
    question="What did these readings at one spot measure, and how well?",
    inputs=(
        Input(name="readings", label="Readings", kind=READINGS, example="70.1, 70.4, 69.8, 70.2, 70.0"),
        METER,
        Input(
            name="resolution",
            label="Step of the display",
            kind=Quantity(unit="dB", high=5),
            default="0.1",
            example="0.1 dB",
        ),
    ),
    compute=mean_uncertainty,
    source=GUM,
    notes=("For several spots of a zone take the energy mean instead.",),
)
AGAINST_BASELINE = Calculation(
    name="against-baseline",
    title="Reading against baseline",
    question="Has the level left its baseline, or can the meter not tell?",
    inputs=(
        Input(name="readings", label="Readings now", kind=READINGS, example="63.4, 63.6, 63.5"),
        Input(name="baseline", label="Readings of the baseline", kind=READINGS, example="62.0, 62.2, 61.9"),
        Input(
            name="tolerance",
            label="Tolerance, either way",
            kind=Quantity(unit="dB", high=20, above=True),
            default="2",
            example="2 dB",
            help="± 2 dB: common practice.",
        ),
        METER,
        Input(name="baseline_meter", label="Meter of the baseline", kind=CLASSES, default="unknown", example="2"),
        Input(name="same_meter", label="Meter now and then", kind=SAME, default="other", example="same"),
        Input(name="same_spot", label="Spot now and then", kind=SAME, default="other", example="same"),
        Input(name="same_track", label="Track now and then", kind=SAME, default="other", example="same"),
    ),
    compute=against_baseline,
    source=f"JCGM 106:2012, 8.3 (guard band of the expanded uncertainty). {GUM}",
)
