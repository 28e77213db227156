"""How long ears may stay, by two rules."""

from registry.engineering.exposure import (
    RULES,
    Rule,
    allowed_hours,
    dose_percent,
    exposure_caution,
    osha_table_hours,
    time_weighted_average_db,
)
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.declaring import Answer, Calculation, Input, Result, Term
from registry.web.workbench.kinds import Quantity
from registry.web.workbench.kinds_joined import Cell, Rows

LEVEL = Quantity(unit="dB(A)", high=130)
HIGHEST_IN_TABLE_DB = 115.0
SOURCE = (
    "NIOSH 98-126, 1.1: 85 dB(A), 3 dB halve the time. 29 CFR 1910.95 Appendix A: 90 dB(A), 5 dB halve the time; "
    "Table G-16 (102 and 115 dB(A) from memory)."
)
NOTE = "A spot reading is not an exposure assessment; local rules and a competent person decide."


def time_words(hours: float) -> str:
    """A time as people say it."""
    if hours > 24:
        return "more than a day"
    if hours >= 1:
        return f"{figure(hours)} h"
    minutes = 60 * hours
    return f"{figure(minutes)} min" if minutes >= 1 else f"{figure(60 * minutes)} s"


def hearing_time(*, level: float) -> Answer:
    """Allowed time a day at one steady level."""
    niosh, osha = allowed_hours(level, "niosh"), allowed_hours(level, "osha")
    table = osha_table_hours(level) if level <= HIGHEST_IN_TABLE_DB else 0.0
    printed = "no limit in the table" if table is None else time_words(table) if table else "none: not allowed"
    return Answer(
        says=f"At {figure(level)} dB(A): {time_words(niosh)} a day by NIOSH, {time_words(osha)} by OSHA's formula.",
        results=(
            Result("niosh_hours", "NIOSH recommends at most", niosh, "h"),
            Result("osha_hours", "OSHA's reference time", osha, "h"),
            Result("osha_table", "OSHA's printed table allows", printed),
        ),
        formula=tuple(_time_term(level, rule) for rule in ("niosh", "osha")),
        cautions=_cautions(level),
    )


def _time_term(level: float, rule: Rule) -> Term:
    law = RULES[rule]
    power = f"({figure(level)} − {law.criterion_db:g})/{law.exchange_db:g}"
    return Term(law.name, f"8 h / 2^({power}) = {time_words(allowed_hours(level, rule))}")


def _cautions(level: float) -> tuple[str, ...]:
    words = exposure_caution(level)
    return (CAUTIONS["hearing"], words) if words else ()


def hearing_dose(*, exposures: tuple[tuple[float, float], ...]) -> Answer:
    """Dose of a day with several levels."""
    doses: dict[Rule, float] = {rule: dose_percent(exposures, rule) for rule in RULES}
    averages = {rule: time_weighted_average_db(dose, rule) if dose else None for rule, dose in doses.items()}
    niosh, osha = doses["niosh"], doses["osha"]
    return Answer(
        says=f"The day's dose is {figure(niosh)} % by NIOSH and {figure(osha)} % by OSHA; 100 % is the limit.",
        verdict="fail" if niosh > 100 and osha > 100 else "warn" if max(doses.values()) > 100 else "pass",
        results=(
            Result("niosh_percent", "Dose by NIOSH", niosh, "%"),
            Result("osha_percent", "Dose by OSHA", osha, "%"),
            Result("niosh_average_dba", "As a steady level over 8 h, NIOSH", averages["niosh"], "dB(A)"),
            Result("osha_average_dba", "As a steady level over 8 h, OSHA", averages["osha"], "dB(A)"),
        ),
        formula=tuple(_dose_term(exposures, rule, dose=dose) for rule, dose in doses.items()),
        cautions=_cautions(max(level for level, _ in exposures)),
    )


def _dose_term(exposures: tuple[tuple[float, float], ...], rule: Rule, *, dose: float) -> Term:
    parts = [f"{figure(hours)}/{figure(allowed_hours(level, rule))}" for level, hours in exposures if level >= 80]
    return Term(RULES[rule].name, f"100 Σ C/T = 100 × ({' + '.join(parts) or '0'}) = {figure(dose)} %")


HEARING_TIME = Calculation(
    name="hearing-time",
    title="Time at a level",
    question="How long may people stay at this level each day?",
    inputs=(Input(name="level", label="Steady level", kind=LEVEL, example="91 dB"),),
    compute=hearing_time,
    source=SOURCE,
    notes=(NOTE,),
)
HEARING_DOSE = Calculation(
    name="hearing-dose",
    title="Dose of a day",
    question="How much of a day's allowance do these levels and times use up?",
    inputs=(
        Input(
            name="exposures",
            label="Levels and times",
            kind=Rows(cells=(Cell("level", LEVEL), Cell("time", Quantity(unit="h", high=24))), most=24),
            example="85 dB, 4 h\n88 dB, 2 h\n91 dB, 1 h",
            help="One a line: level, time. What is below 80 dB(A) does not count.",
        ),
    ),
    compute=hearing_dose,
    source=SOURCE,
    notes=(NOTE,),
)
