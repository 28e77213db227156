"""Diagnosis: which single fault explains what was read and heard."""

from collections.abc import Iterator

from registry.drawings.bars import Bar, BarChart, draw_bars
from registry.engineering.amplifier import Channel
from registry.engineering.diagnosis import Diagnosis, ImpedanceReading, SpotReading, Suspected, diagnose
from registry.engineering.folding import LifeSafety
from registry.engineering.line_parts import LineKind
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.calculations.levels import LEVEL, loud
from registry.web.workbench.declaring import (
    Answer,
    Calculation,
    Column,
    Drawing,
    Input,
    InputError,
    Result,
    Table,
    Term,
)
from registry.web.workbench.kinds import Choice, Quantity, Word
from registry.web.workbench.kinds_joined import OHM, Cell, OhmOrTap, Rows, line_kinds
from registry.web.workbench.showing import db
from registry.web.workbench.typed_site import SYMPTOMS, TypedCoil, TypedSpot, site_of, symptoms_of

MOST_SHOWN = 12
LEAST_SHOWN_PERCENT = 0.1
SUSPECTS = (
    Column("fault", "Fault"),
    Column("probability_percent", "Probability", "%"),
    Column("group", "Group"),
    Column("look", "What settles it"),
)
LIFE_SAFETY = Choice({"no": "no, that is certain", "unknown": "not known", "yes": "yes"})


def diagnosis(
    *,
    kind: LineKind,
    loudspeakers: tuple[TypedCoil, ...],
    spots: tuple[TypedSpot, ...],
    impedances: tuple[tuple[str, float], ...],
    symptoms: tuple[tuple[str, str], ...],
    minimum: float | None,
    life_safety: LifeSafety,
) -> Answer:
    """Rank every single fault of the typed lines by how well it explains what was read and heard."""
    channel = Channel(min_load_ohm=minimum)
    site = site_of(loudspeakers, spots, kind=kind, channel=channel, life_safety=life_safety)
    readings = [SpotReading(spot[0], spot[5]) for spot in spots if spot[5] is not None]
    measured = [ImpedanceReading(line, ohm) for line, ohm in impedances]
    if not (readings or measured or symptoms):
        raise InputError("spots", "nothing was read or heard: give one level read now, an impedance or a symptom")
    said = symptoms_of(symptoms, site)
    try:
        found = diagnose(site, readings=readings, impedances=measured, symptoms=said)
    except ValueError as error:
        raise InputError("impedances" if impedances else "spots", str(error)) from error
    best = found.best
    return Answer(
        says=f"Most probable is {best.name}, {figure(100 * best.probability)} %. {_after(found)}",
        results=(
            Result("fault", "Most probable", best.name),
            Result("probability_percent", "How probable", 100 * best.probability, "%"),
            Result("next_reading", "Read next", _next(found)),
        ),
        formula=tuple(_formula(best, spots)),
        cautions=_cautions(found, life_safety, level=max(spot[2] for spot in spots)),
        drawings=(_bars(found),),
        tables=(_suspects(found),),
        notes=found.notes,
    )


def _after(found: Diagnosis) -> str:
    return found.next_reading.says if found.next_reading else f"To be sure, {found.best.look}."


def _next(found: Diagnosis) -> str:
    if found.next_reading is None:
        return "no reading tells more"
    unit = "level at" if found.next_reading.what == "level" else "impedance of line"
    return f"{unit} {found.next_reading.where}"


def _formula(best: Suspected, spots: tuple[TypedSpot, ...]) -> Iterator[Term]:
    yield Term(
        "Probability", "share of calls × Π Gaussian(reading; prediction) × Π P(symptom); all faults together 100 %"
    )
    changes = dict(best.changes_db)
    for name, _, then, _, _, now in spots:
        if now is not None:
            read = f"{figure(now)} − {figure(then)} = {db(now - then)} dB with the background"
            yield Term(name, f"{best.name} would change the music by {db(changes[name])} dB; read was {read}")


def _cautions(found: Diagnosis, life_safety: LifeSafety, *, level: float) -> tuple[str, ...]:
    serves = (CAUTIONS["life-safety"],) if life_safety != "no" else ()
    return (found.caution, *serves, CAUTIONS["ladder"], *loud(level))


def _ranked(found: Diagnosis) -> list[tuple[int, Suspected]]:
    faults = [(number, fault) for number, group in enumerate(found.groups, start=1) for fault in group.faults]
    likely = [pair for pair in faults if 100 * pair[1].probability >= LEAST_SHOWN_PERCENT] or faults[:1]
    return sorted(likely, key=lambda pair: -pair[1].probability)[:MOST_SHOWN]


def _bars(found: Diagnosis) -> Drawing:
    bars = tuple(
        Bar(fault.name, 100 * fault.probability, f"{figure(100 * fault.probability)} %")
        for _, fault in _ranked(found)[:6]
    )
    return Drawing(draw_bars(BarChart("How probable each fault is", bars), ident="faults"))


def _suspects(found: Diagnosis) -> Table:
    rows = tuple(
        (fault.name, 100 * fault.probability, number, fault.look[0].upper() + fault.look[1:])
        for number, fault in _ranked(found)
    )
    return Table("faults", "The most probable faults", SUSPECTS, rows)


DIAGNOSIS = Calculation(
    name="diagnosis",
    title="Diagnosis",
    question="Which single fault explains these readings and complaints, and what should be read next?",
    inputs=(
        Input(name="kind", label="Kind of the lines", kind=Choice(line_kinds()), default="low", example="low"),
        Input(
            name="loudspeakers",
            label="Loudspeakers in wiring order",
            kind=Rows(
                cells=(
                    Cell("zone", Word(30)),
                    Cell("line", Word(30)),
                    Cell("string", Word(20)),
                    Cell("loudspeaker", Word(30)),
                    Cell("ohm or tap", OhmOrTap()),
                ),
                most=24,
            ),
            example=(
                "Bar, A1/1, 1, LS1, 8 ohm\nBar, A1/1, 1, LS2, 8 ohm\nBar, A1/1, 2, LS3, 8 ohm\n"
                "Bar, A1/1, 2, LS4, 8 ohm\nHall, A1/2, 1, LS5, 8 ohm\nHall, A1/2, 2, LS6, 8 ohm"
            ),
            help="One a line: zone, line, string, name, ohms or tap. A1/1 is line 1 of amplifier A1.",
        ),
        Input(
            name="spots",
            label="Spots",
            kind=Rows(
                cells=(
                    Cell("spot", Word(20)),
                    Cell("zone", Word(30)),
                    Cell("baseline dB", LEVEL),
                    Cell("background dB", LEVEL, required=False),
                    Cell("loudspeakers heard", Word(120)),
                    Cell("read now dB", LEVEL, required=False),
                ),
                most=12,
            ),
            example="P1, Bar, 66, 45, LS1 + LS2, 47\nP2, Bar, 66, 45, LS3 + LS4\nP3, Hall, 64, 42, LS5 + LS6, 63.8",
            help="One a line: spot, zone, baseline level, background, loudspeakers heard, level read now.",
        ),
        Input(
            name="impedances",
            label="Impedances measured now",
            kind=Rows(cells=(Cell("line", Word(30)), Cell("ohm", OHM)), most=8),
            default="",
            help="One a line: line, ohms at its disconnected terminals.",
        ),
        Input(
            name="symptoms",
            label="What people say",
            kind=Rows(cells=(Cell("symptom", Choice(SYMPTOMS)), Cell("where", Word(30), required=False)), most=8),
            default="",
            example="quieter, Bar",
            help=f"One a line: {', '.join(SYMPTOMS)}; then a zone or a loudspeaker, or nothing for the whole site.",
        ),
        Input(
            name="minimum",
            label="Lowest load of each channel",
            kind=Quantity(unit="ohm", high=1000, above=True),
            default="",
            example="4 ohm",
        ),
        Input(
            name="life_safety",
            label="Does any of these lines serve fire alarm, voice alarm or emergency paging?",
            kind=LIFE_SAFETY,
            example="no",
            help="Unknown counts as yes: no measurement at its terminals is offered then.",
        ),
    ),
    compute=diagnosis,
    source=(
        "Bayes' rule with Gaussian uncertainties (JCGM 100:2008); single faults by Ohm's law; shares of calls and of "
        "what people say: common practice."
    ),
    tables_first=True,
    notes=(
        "All zones are taken to play one source; a channel counts as a stiff source.",
        "Faults of one group are not told apart by these readings; faults below 0.1 % are not listed.",
    ),
)
