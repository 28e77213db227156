"""Parts in series and parallel."""

from collections.abc import Iterator

from registry.drawings.network_drawing import draw_network, ohm_words
from registry.engineering.amplifier import at_least
from registry.engineering.level import db_of_amplitude
from registry.engineering.network import Resistor, Series, Tree, impedance, solve
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.declaring import Answer, Calculation, Check, Column, Drawing, Input, Result, Table, Term
from registry.web.workbench.kinds import Quantity
from registry.web.workbench.notation import HOW, Network


def network(*, parts: Tree, volts: float | None, minimum: float | None) -> Answer:
    """Solve a network and say what each part gets."""
    ohm = impedance(parts)
    check = _load_check(ohm, minimum)
    too_low = check is not None and check.verdict == "fail"
    return Answer(
        says=check.says if check else f"Together: {ohm_words(ohm)}.",
        verdict=check.verdict if check else None,
        results=(Result("impedance_ohm", "Together", ohm, "ohm"),),
        formula=tuple(_steps(parts)),
        cautions=(CAUTIONS["load"],) * too_low + (CAUTIONS["wiring"],),
        drawings=(_drawing(parts),),
        tables=(_table(parts, volts),) if ohm > 0 else (),
    )


def _load_check(ohm: float, minimum: float | None) -> Check | None:
    if minimum is None:
        return None
    fits = at_least(ohm, minimum)
    says = f"Together: {ohm_words(ohm)}; the channel allows {figure(minimum)} Ω or more."
    return Check("load", "pass" if fits else "fail", says)


def _steps(tree: Tree) -> Iterator[Term]:
    """Every group from the inside out."""
    if isinstance(tree, Resistor):
        return
    for part in tree.parts:
        yield from _steps(part)
    ohms = [impedance(part) for part in tree.parts]
    if isinstance(tree, Series):
        yield Term("In series", f"{' + '.join(ohm_words(ohm) for ohm in ohms)} = {ohm_words(impedance(tree))}")
    elif 0 in ohms:
        yield Term("In parallel", "a short circuit beside other parts is a short circuit")
    else:
        sum_of = " + ".join(f"1/{figure(ohm)}" for ohm in ohms)
        yield Term("In parallel", f"1 / ({sum_of}) Ω = {ohm_words(impedance(tree))}")


def _drawing(tree: Tree) -> Drawing:
    title = "Network as it is wired"
    return Drawing(
        draw_network(tree, title=title, width=720, ident="network-wide"),
        draw_network(tree, title=title, ident="network-narrow"),
    )


def _table(tree: Tree, volts: float | None) -> Table:
    """What each part gets; its level is against the same part alone on the same voltage."""
    across = volts or 1.0
    columns = [
        Column("part", "Part"),
        Column("ohm", "Impedance", "ohm"),
        Column("level_db", "Level against alone", "dB"),
    ]
    if volts:
        columns += [Column("volts", "Voltage", "V"), Column("amperes", "Current", "A"), Column("watts", "Power", "W")]
    rows = [
        (leaf.label, leaf.ohm, db_of_amplitude(leaf.volts / across) if leaf.volts else "silent")
        + ((leaf.volts, leaf.amperes, leaf.watts) if volts else ())
        for leaf in solve(tree, across)
    ]
    return Table("parts", "What each part gets", tuple(columns), tuple(rows))


NETWORK = Calculation(
    name="network",
    title="Series and parallel",
    question="What do loudspeakers or resistors make together, and what does each of them get?",
    inputs=(
        Input(name="parts", label="Network", kind=Network(), example="8 + 8 | 8 + 8 | 8 + 8", help=HOW),
        Input(
            name="volts",
            label="Voltage across it",
            kind=Quantity(unit="V", high=1000, above=True),
            default="",
            example="20 V",
            help="Gives volts, amperes and watts of every part.",
        ),
        Input(
            name="minimum",
            label="Lowest load the channel allows",
            kind=Quantity(unit="ohm", high=1000, above=True),
            default="",
            example="4 ohm",
        ),
    ),
    compute=network,
    source="Ohm's law: OpenStax, College Physics 2e, “Resistors in Series and Parallel”.",
    notes=("Impedances are taken as plain numbers; a real loudspeaker's impedance moves with frequency.",),
)
