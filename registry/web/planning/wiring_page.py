"""The wiring sheet as it is shown: each channel's terminals drawn and listed."""

from typing import Any, NamedTuple

from registry.drawings.terminal_strip import Pole, Terminal, TerminalString, TerminalStrip, draw_terminal_strip
from registry.engineering.line import LineLoad
from registry.engineering.units import show_quantity
from registry.planning.models import FoldPlan
from registry.planning.wiring_sheet import Landing, LineSheet, StringSheet, wiring_sheet
from registry.web.planning.plan_page import opened
from sites.models import Site


class SheetShown(NamedTuple):
    """One channel's sheet with its drawing in two widths, and the load to be measured before connecting."""

    sheet: LineSheet
    load: LineLoad
    wide: str
    narrow: str


def wiring_page(plan: FoldPlan) -> dict[str, Any]:
    """Return the context of a plan's wiring sheet."""
    found = opened(plan)
    sheets = wiring_sheet(found.fitted.design)
    shown = [
        _shown(sheet, load, plan.site, ident=f"strip-{number}")
        for number, (sheet, load) in enumerate(zip(sheets, found.fitted.loads, strict=True), start=1)
    ]
    return {
        "plan": plan,
        "site": plan.site,
        "standing": found.standing,
        "acceptance": found.acceptance,
        "sheets": shown,
        "boxes": found.fitted.design.boxes,
        "conductors": sum(len(string.landings) for sheet in sheets for string in sheet.strings),
        "jumpers": sum(sheet.jumpers for sheet in sheets),
        "can_shock": any(sheet.can_shock for sheet in sheets),
        "left_out": found.kept.left_out,
    }


def _shown(sheet: LineSheet, load: LineLoad, site: Site, *, ident: str) -> SheetShown:
    strip = TerminalStrip(
        title=f"{sheet.place}, channel {sheet.channel}",
        channel=f"{sheet.place}, channel {sheet.channel}",
        strings=tuple(_string(string, site) for string in sheet.strings),
    )
    return SheetShown(
        sheet,
        load,
        draw_terminal_strip(strip, width=560, ident=f"{ident}-wide"),
        draw_terminal_strip(strip, ident=f"{ident}-narrow"),
    )


def _string(string: StringSheet, site: Site) -> TerminalString:
    terminals = tuple(_terminal(landing, site) for landing in string.landings)
    return TerminalString(f"String {string.name}", terminals, string.at_loudspeakers)


def _terminal(landing: Landing, site: Site) -> Terminal:
    poles: dict[str, Pole] = {"+": "+", "−": "−"}
    detail = f"{cable_shown(landing.cable, landing.length_m, site)}; {landing.comes_from}"
    conductor = f"{landing.shown_colour}, {landing.pole} of {landing.loudspeaker}"
    return Terminal(poles.get(landing.terminal, "joint"), conductor, detail)


def cable_shown(size: str, length_m: float | None, site: Site) -> str:
    """Return a piece of cable in the site's own units."""
    units = "us" if site.units == "us" else "metric"
    shown = (
        "length not known" if length_m is None else show_quantity(length_m, "m", "us" if units == "us" else "metric")
    )
    return f"{size.replace('mm2', 'mm²') or 'size not known'}, {shown}"
