"""One full and one bare example of every drawing, with labels that try to break out of the SVG."""

from datetime import date

from registry.drawings.bars import Bar, BarChart, draw_bars
from registry.drawings.coverage_map import CoverageMap, MapLoudspeaker, draw_coverage_map
from registry.drawings.dial_curve import DialCurve, draw_dial_curve
from registry.drawings.fold_picture import FoldBoxMark, FoldChannelMark, FoldPicture, FoldZoneMark, draw_fold_picture
from registry.drawings.history_chart import HistoryBaseline, HistoryReading, LevelHistory, draw_history
from registry.drawings.level_strip import LevelStrip, draw_level_strip
from registry.drawings.network_drawing import draw_network
from registry.drawings.rack_front import RackFront, RackItem, draw_rack_front
from registry.drawings.schematic import (
    SchematicCable,
    SchematicLine,
    SchematicLoudspeaker,
    SchematicString,
    draw_schematic,
)
from registry.drawings.terminal_strip import Terminal, TerminalString, TerminalStrip, draw_terminal_strip
from registry.engineering.network import Parallel, Resistor, Series

HOSTILE = "<A & B>\x00\"'</text><script>"
WRITTEN = "<A & B>\"'</text><script>"

_CABLE = SchematicCable("1.5 mm²", "12 m", "red", "black")
_LOUDSPEAKERS = tuple(
    SchematicLoudspeaker(
        label, load="8 Ω", power="7 W", level="−9.5 dB", cable=_CABLE, verdict="fail", remark="too much"
    )
    for label in ("LS1", HOSTILE, "LS3")
)


def line(wiring: str, *strings: SchematicString) -> SchematicLine:
    return SchematicLine(HOSTILE, wiring, "Amplifier 1", "channel 2", "60 W into 4 Ω", strings, "warn", "no margin")


DAY = date(2024, 3, 12)
_STRING = SchematicString("String 1", _LOUDSPEAKERS)
_HISTORY = LevelHistory(
    HOSTILE,
    (
        HistoryReading(DAY, 66.0, 0.9),
        HistoryReading(DAY, 70.2, None, "as left"),
        HistoryReading(date(2025, 4, 2), 71, 1),
    ),
    (HistoryBaseline(DAY, 70, 2, HOSTILE), HistoryBaseline(date(2024, 9, 1), 71, None)),
)
_RACK = RackFront(
    HOSTILE,
    12,
    (RackItem(HOSTILE, "Make A", "0012", 1, 2, "/items/1/"), RackItem("", blank=True, bottom_unit=4, height_u=1)),
)
_ROOM = CoverageMap(HOSTILE, 6, 4, [[70, None], [66, 73]], (MapLoudspeaker(HOSTILE, 2, 2),), "mean 71 dB")
_NETWORK = Parallel((Series((Resistor(8, HOSTILE), Resistor(4, "LS2"))), Resistor(8, "LS3")))
_FOLD = FoldPicture(
    HOSTILE,
    (
        FoldZoneMark(HOSTILE, "6 × 8 Ω", "+2.0 dB of ±3 dB", "warn", ((0, 0), (0, 1))),
        FoldZoneMark("B", "", "", "pass", ()),
    ),
    (
        FoldBoxMark(
            HOSTILE, "Make A", (FoldChannelMark(HOSTILE, "4 Ω of 4 Ω", "warn"), FoldChannelMark("2", "nothing"))
        ),
    ),
)
_STRIP = TerminalStrip(
    HOSTILE,
    "Amplifier 1, channel 2",
    (
        TerminalString(
            HOSTILE,
            (Terminal("+", HOSTILE), Terminal("joint", "b"), Terminal("joint", "c"), Terminal("−", "d", HOSTILE)),
        ),
        TerminalString("String 2", (Terminal("+", "red"), Terminal("−", "black")), "In series at the loudspeakers."),
    ),
)

SAMPLES: dict[str, str] = {
    "low impedance": draw_schematic(line("low impedance", _STRING)),
    "low impedance, wide": draw_schematic(line("low impedance", _STRING, _STRING), width=720),
    "constant voltage": draw_schematic(line("constant voltage", _STRING, _STRING)),
    "constant voltage, wide": draw_schematic(line("constant voltage", _STRING, _STRING), width=720),
    "no loudspeaker": draw_schematic(line("low impedance")),
    "strip": draw_level_strip(LevelStrip(HOSTILE, "out", 70, 2, 76, 1)),
    "bare strip": draw_level_strip(LevelStrip(HOSTILE, "no baseline")),
    "rack": draw_rack_front(_RACK),
    "empty rack": draw_rack_front(RackFront(HOSTILE, 1)),
    "history": draw_history(_HISTORY),
    "empty history": draw_history(LevelHistory(HOSTILE)),
    "bars": draw_bars(BarChart(HOSTILE, (Bar(HOSTILE, 3, "3 items"), Bar("when not known", None)))),
    "no bars": draw_bars(BarChart(HOSTILE)),
    "network": draw_network(_NETWORK, title=HOSTILE),
    "fold": draw_fold_picture(_FOLD),
    "fold, wide": draw_fold_picture(_FOLD, width=720),
    "terminals": draw_terminal_strip(_STRIP),
    "terminals, wide": draw_terminal_strip(_STRIP, width=720),
    "map": draw_coverage_map(_ROOM),
    "map of nothing known": draw_coverage_map(CoverageMap(HOSTILE, 1, 9, [[None]])),
    "dial": draw_dial_curve(DialCurve(HOSTILE, 50, 60, ((0, -70), (100, 0)))),
}
