"""The wiring sheet of a fold plan as a printed sheet: the same data as its page."""

from collections.abc import Iterator
from typing import Any

from registry.engineering.units import show_quantity
from registry.planning.models import FoldPlan
from registry.planning.standing import Standing
from registry.planning.wiring_sheet import Landing, StringSheet
from registry.reports.sheet import Blanks, Block, Caution, Cell, Column, Drawing, Points, Section, Sheet, Table, Words
from registry.web.cautions import CAUTIONS
from registry.web.planning.wiring_page import SheetShown, cable_shown, wiring_page
from sites.models import Site

COLUMNS = (
    Column("Terminal"),
    Column("Conductor", 1.3),
    Column("To", 1.5),
    Column("Cable", 1.6),
    Column("Comes from", 1.6),
    Column("Done"),
)


def printed_wiring(plan: FoldPlan) -> Sheet:
    """Return the wiring sheet of a plan; one that nobody accepted says so first."""
    page = wiring_page(plan)
    return Sheet(
        title=f"Wiring sheet: {plan.site}, plan {plan.number}",
        answer=_answer(page),
        dated=plan.saved_at,
        head=(*_standing(page), Blanks(("Day", "Tech"))),
        cautions=tuple(_cautions(page)),
        sections=(*(_channel(shown, plan.site) for shown in page["sheets"]), *_left_out(page)),
    )


def _answer(page: dict[str, Any]) -> str:
    counts = ((len(page["sheets"]), "channel"), (page["conductors"], "conductor"), (page["jumpers"], "jumper"))
    said = [f"{count} {word}{'' if count == 1 else 's'}" for count, word in counts]
    return f"{page['plan'].title}. {', '.join(said)}."


def _standing(page: dict[str, Any]) -> Iterator[Block]:
    standing: Standing = page["standing"]
    if standing.word in {"accepted", "wired"}:
        yield Words(f"{standing.words}.")
    else:
        yield Caution(f"{standing.words}: don't wire by this sheet.")


def _cautions(page: dict[str, Any]) -> Iterator[str]:
    yield CAUTIONS["mains"]
    yield CAUTIONS["wiring"]
    if page["can_shock"]:
        yield CAUTIONS["line"]
    yield CAUTIONS["load"]
    yield CAUTIONS["life-safety"]


def _channel(shown: SheetShown, site: Site) -> Section:
    sheet = shown.sheet
    rows = tuple(_row(landing, site) for string in sheet.strings for landing in string.landings)
    words = [said for string in sheet.strings for said in _at_loudspeakers(string)]
    blocks: list[Block] = [Words(_load(shown, site)), Drawing(shown.wide, f"Terminals of {sheet.line}, listed below")]
    blocks += [Table(COLUMNS, rows), *([Points(tuple(words))] if words else [])]
    blocks.append(Blanks(("Measured before connecting, ohm", "at, Hz", "Polarity heard")))
    zones = ", ".join(sheet.zones)
    return Section(f"{sheet.place}, channel {sheet.channel}: {sheet.line} ({zones})", tuple(blocks))


def _load(shown: SheetShown, site: Site) -> str:
    impedance = shown.load.impedance_ohm
    if impedance is None:
        return f"The load can't be computed: {shown.load.says}"
    units = "us" if site.units == "us" else "metric"
    figure = show_quantity(impedance, "ohm", "us" if units == "us" else "metric")
    return f"Computed load {figure}, cable included. {shown.load.says}"


def _at_loudspeakers(string: StringSheet) -> Iterator[str]:
    if string.at_loudspeakers:
        yield f"String {string.name}: {string.at_loudspeakers}"


def _row(landing: Landing, site: Site) -> tuple[Cell | str, ...]:
    cable = cable_shown(landing.cable, landing.length_m, site)
    to = f"{landing.pole} of {landing.loudspeaker}"
    return (
        Cell(landing.terminal, strong=True),
        Cell(landing.shown_colour, landing.jumper),
        to,
        Cell(cable, "new" if landing.is_new else ""),
        landing.comes_from,
        Cell("", box=True),
    )


def _left_out(page: dict[str, Any]) -> Iterator[Section]:
    if page["left_out"]:
        yield Section(
            "Left out of the plan", (Points(tuple(f"{each.zone}: {each.says}." for each in page["left_out"])),)
        )
