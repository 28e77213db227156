"""A line typed loudspeaker by loudspeaker: its load, and what every single fault would do."""

from collections.abc import Iterator

from registry.audio.formulas import heard
from registry.engineering.amplifier import Channel, RatedLoad
from registry.engineering.cable import Cable
from registry.engineering.line import Coil, Fault, LineKind, LineLoad, LineSpec, String, faults, solved
from registry.engineering.line_parts import LINE_VOLTS
from registry.engineering.wording import counted, number_word
from registry.web.workbench.calculations.lines import HIGH_SOURCE, LOW_SOURCE, MINIMUM, NO_CABLE, RATED, channel_of
from registry.web.workbench.declaring import Answer, Calculation, Column, Input, InputError, Result, Table, Term, Value
from registry.web.workbench.kinds import Choice, Word
from registry.web.workbench.kinds_joined import WATTS, CablePiece, Cell, CoilLoadTyped, OhmOrTap, Rows, line_kinds
from registry.web.workbench.line_answers import line_answer, line_cautions, line_drawing

MOST_LOUDSPEAKERS = 24
FAULT_WORDS = {
    "coil open": "{} open",
    "coil shorted": "{} shorted",
    "cable open": "cable to {} open",
    "polarity reversed": "{} with plus and minus swapped",
}
Typed = tuple[str, str, CoilLoadTyped, Cable | None, float | None]


def line_of(
    kind: LineKind,
    loudspeakers: tuple[Typed, ...],
    *,
    rated: tuple[RatedLoad, ...],
    minimum: float | None,
    line_power: float | None,
) -> LineLoad:
    """The solved line that was typed."""
    strings: dict[str, list[Coil]] = {}
    for string, label, load, cable, rated_power in loudspeakers:
        if kind == "low" and load.tap_w is not None:
            raise InputError("loudspeakers", f"{label} has a tap in watts: a low-impedance line allows ohms only")
        coil = Coil(
            label,
            impedance_ohm=load.impedance_ohm,
            tap_w=load.tap_w,
            rated_power_w=rated_power,
            cable=cable or NO_CABLE,
        )
        strings.setdefault(string, []).append(coil)
    wired = tuple(String(name, tuple(coils)) for name, coils in strings.items())
    line_v = LINE_VOLTS.get(kind)
    power = {line_v: line_power} if line_v is not None and line_power is not None else {}
    channel = channel_of(rated, minimum) if kind == "low" else Channel(line_power_w=power)
    try:
        return solved(LineSpec(kind, wired, channel))
    except ValueError as error:
        raise InputError("loudspeakers", str(error)) from error


def listed_line(
    *,
    kind: LineKind,
    loudspeakers: tuple[Typed, ...],
    rated: tuple[RatedLoad, ...],
    minimum: float | None,
    line_power: float | None,
) -> Answer:
    """Solve a line typed loudspeaker by loudspeaker."""
    return line_answer(line_of(kind, loudspeakers, rated=rated, minimum=minimum, line_power=line_power))


def line_faults(
    *,
    kind: LineKind,
    loudspeakers: tuple[Typed, ...],
    rated: tuple[RatedLoad, ...],
    minimum: float | None,
    line_power: float | None,
) -> Answer:
    """Say what every single fault of a line would do."""
    load = line_of(kind, loudspeakers, rated=rated, minimum=minimum, line_power=line_power)
    found = faults(load)
    fatal = sum(fault.survives is False for fault in found)
    unjudged = any(fault.survives is None for fault in found)
    heavy = f"{number_word(fatal).lower()} of them would load the channel below what it allows"
    limits = "what the channel allows is not known" if unjudged else heavy
    return Answer(
        says=f"{counted(len(found), 'single fault')} looked at: {limits}.",
        verdict="unknown" if unjudged else "warn" if fatal else "pass",
        results=(
            Result("impedance_ohm", "Without a fault the channel sees", load.impedance_ohm, "ohm"),
            Result("channel_minimum_ohm", "It allows at least", load.channel_minimum_ohm, "ohm"),
            Result("faults", "Single faults looked at", len(found)),
            Result("too_heavy", "Of them too heavy for the channel", None if unjudged else fatal),
        ),
        formula=tuple(_fault_terms(found, load)),
        cautions=line_cautions(load),
        drawings=(line_drawing(load),),
        tables=(_fault_table(found, load),),
    )


def _fault_terms(found: tuple[Fault, ...], load: LineLoad) -> Iterator[Term]:
    """The faults that load the channel most and least, in the library's own words."""
    known = [fault for fault in found if fault.impedance_ohm is not None]
    if known:
        yield Term("Heaviest load", min(known, key=lambda fault: fault.impedance_ohm or 0.0).says)
        yield Term("Lightest load", max(known, key=lambda fault: fault.impedance_ohm or 0.0).says)


def _fault_table(found: tuple[Fault, ...], load: LineLoad) -> Table:
    columns = (
        Column("fault", "Fault"),
        Column("impedance_ohm", "Channel sees", "ohm"),
        Column("may_drive", "May drive it", is_verdict=True),
        Column("heard", "What is heard"),
    )
    return Table("faults", "What a single fault would do", columns, tuple(_fault_row(each, load) for each in found))


def _fault_row(fault: Fault, load: LineLoad) -> tuple[Value, ...]:
    what = FAULT_WORDS[fault.kind].format(load.spec.names[fault.label, fault.coil])
    words = {True: "pass", False: "fail", None: "unknown"}[fault.survives]
    return (what[0].upper() + what[1:], fault.impedance_ohm, words, heard(fault, others=len(load.spec.coils) - 1))


LOUDSPEAKERS = Rows(
    cells=(
        Cell("string", Word(20)),
        Cell("loudspeaker", Word(30)),
        Cell("ohm or tap", OhmOrTap()),
        Cell("cable before it", CablePiece(), required=False),
        Cell("rated W", WATTS, required=False),
    ),
    most=MOST_LOUDSPEAKERS,
)
INPUTS = (
    Input(name="kind", label="Kind of line", kind=Choice(line_kinds()), example="low"),
    Input(
        name="loudspeakers",
        label="Loudspeakers in wiring order",
        kind=LOUDSPEAKERS,
        example=(
            "1, LS1, 8 ohm, 40 ft of 16 AWG, 30 W\n1, LS2, 8 ohm, 15 ft of 16 AWG, 30 W\n"
            "2, LS3, 8 ohm, 60 ft of 16 AWG, 30 W"
        ),
        help=(
            "One a line: string, name, ohms or tap, cable before it, rated watts. Strings are in parallel; the "
            "loudspeakers of one string are in series, on a constant-voltage line a daisy chain."
        ),
    ),
    RATED,
    MINIMUM,
    Input(
        name="line_power",
        label="Rated power at the line voltage",
        kind=WATTS,
        default="",
        help="For 25, 70.7 and 100 V lines.",
    ),
)

LISTED_LINE = Calculation(
    name="listed-line",
    title="A line, loudspeaker by loudspeaker",
    question="Unlike loudspeakers, unlike strings, pieces of cable: may the channel drive it, and who gets what?",
    inputs=INPUTS,
    compute=listed_line,
    source=f"{LOW_SOURCE} {HIGH_SOURCE}",
)
LINE_FAULTS = Calculation(
    name="line-faults",
    title="Single faults of a line",
    question="If one coil opens, shorts or is reversed, or one cable breaks: what does the channel see, what is heard?",
    inputs=INPUTS,
    compute=line_faults,
    tables_first=True,
    source="Ohm's law; with one of n equal ones reversed (n − 2)/n of the coherent sum is left (derived).",
)
