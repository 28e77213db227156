"""Readings of a zone over time, with the baseline and the tolerance that held, as found and as left told apart."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest
from math import isfinite
from xml.etree.ElementTree import Element

from registry.drawings.axes import date_ticks, day_words, linear, padded_dates, ticks
from registry.drawings.lettering import quantity, text_width
from registry.drawings.marks import WorkState, work_mark
from registry.drawings.svg import PHONE_WIDTH, finish, group, line, rect, root, shape, text

_LEFT, _TOP, _PLOT_HEIGHT, _FOOT = 34.0, 26.0, 180.0, 56.0
_LEAST_SPAN_DB = 8.0


@dataclass(frozen=True, slots=True)
class HistoryReading:
    """One reading of the zone."""

    on: date
    level_db: float
    uncertainty_db: float | None = None
    state: WorkState = "as found"

    def __post_init__(self) -> None:
        if not isfinite(self.level_db):
            raise ValueError(f"level_db must be a finite number, got {self.level_db}")
        if self.uncertainty_db is not None and not 0 <= self.uncertainty_db < float("inf"):
            raise ValueError(f"uncertainty_db must be 0 or more, or None; got {self.uncertainty_db}")


@dataclass(frozen=True, slots=True)
class HistoryBaseline:
    """A baseline level from its day on, until the next one."""

    since: date
    level_db: float
    tolerance_db: float | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class LevelHistory:
    """What the chart shows, in any order."""

    title: str
    readings: tuple[HistoryReading, ...] = ()
    baselines: tuple[HistoryBaseline, ...] = ()

    @property
    def in_order(self) -> list[HistoryReading]:
        return sorted(self.readings, key=lambda reading: (reading.on, reading.state == "as left"))

    @property
    def levels_db(self) -> list[float]:
        ends = [r.level_db + side * (r.uncertainty_db or 0.0) for r in self.readings for side in (-1, 1)]
        return ends + [b.level_db + side * (b.tolerance_db or 0.0) for b in self.baselines for side in (-1, 1)]

    @property
    def span_db(self) -> tuple[float, float]:
        low, high = min(self.levels_db) - 1.5, max(self.levels_db) + 1.5
        more = max(0.0, _LEAST_SPAN_DB - (high - low)) / 2
        return low - more, high + more

    @property
    def days(self) -> list[date]:
        return [reading.on for reading in self.readings] + [base.since for base in self.baselines]


@dataclass(frozen=True, slots=True)
class _Plot:
    x: Callable[[date], float]
    y: Callable[[float], float]
    left: float
    right: float
    bottom: float


def draw_history(history: LevelHistory, *, width: float = PHONE_WIDTH, ident: str = "") -> str:
    """Draw readings over time: time to the right, level upwards, both linear; whiskers are the uncertainty.

    Parameters:
        history: levels in dB, tolerance and uncertainty 0 or more dB or None for not known.
        width: 340 to 1400 drawing units; 360 for a phone.
        ident: for the ids, when the same history stands twice on a page.
    Returns: SVG.
    Raises: ValueError for a width out of range.
    Source: layout ours; as found and as left are calibration practice, whiskers as in JCGM 100.

    >>> bar = LevelHistory("Bar", (HistoryReading(date(2024, 3, 12), 70.4, 0.8, "as left"),))
    >>> "as left 70.4 dB" in draw_history(bar)
    True
    """
    if not 340 <= width <= 1400:
        raise ValueError(f"width must be 340 to 1400, got {width}; 360 is a phone, 720 a desk or a page")
    height = _TOP + _PLOT_HEIGHT + _FOOT if history.levels_db else 40.0
    svg = root("history-chart", title=history.title, description=describe(history), size=(width, height), ident=ident)
    if not history.levels_db:
        text(svg, "No readings yet. Take the first at the marked spot.", at=(8, 24), css="muted")
        return finish(svg)
    plot = _plot(history, width)
    _draw_axes(svg, history, plot=plot)
    _draw_baselines(svg, history, plot=plot)
    _draw_readings(svg, history, plot=plot)
    _draw_legend(svg, height - 10)
    return finish(svg)


def describe(history: LevelHistory) -> str:
    """Say every reading and baseline in order of time, for screen readers.

    Parameters:
        history: as drawn.
    Returns: sentences.
    Raises: nothing.
    Source: ours.

    >>> describe(LevelHistory("Bar"))
    'No readings yet.'
    """
    said = [
        f"Baseline {base.name} from {day_words(base.since)}: {quantity(base.level_db, 'dB')}, "
        f"tolerance ± {quantity(base.tolerance_db, 'dB')}.".replace("Baseline  from", "Baseline from")
        for base in sorted(history.baselines, key=lambda base: base.since)
    ]
    for reading in history.in_order:
        level = f"{quantity(reading.level_db, 'dB')} ± {quantity(reading.uncertainty_db, 'dB')}"
        said.append(f"{day_words(reading.on)}, {reading.state} {level}.")
    return " ".join(said) or "No readings yet."


def _plot(history: LevelHistory, width: float) -> _Plot:
    low, high = history.span_db
    first, last = padded_dates(history.days)
    left, right, bottom = _LEFT, width - 10, _TOP + _PLOT_HEIGHT
    along = linear(first.toordinal(), last.toordinal(), start=left, end=right)
    return _Plot(lambda day: along(day.toordinal()), linear(low, high, start=bottom, end=_TOP), left, right, bottom)


def _draw_axes(svg: Element, history: LevelHistory, *, plot: _Plot) -> None:
    axes = group(svg, "axes")
    for level in ticks(*history.span_db):
        y = plot.y(level)
        line(axes, "hairline", start=(plot.left - 4, y), end=(plot.right, y))
        text(
            axes,
            quantity(level, "", decimals=0 if level == round(level) else 1),
            at=(28, y + 4.5),
            css="muted",
            anchor="end",
        )
    text(axes, "dB", at=(28, 14), css="muted", anchor="end")
    line(axes, "wire", start=(plot.left, plot.bottom), end=(plot.right, plot.bottom))
    only = history.days[0] if len(set(history.days)) == 1 else None
    for day, words in [(only, day_words(only))] if only else date_ticks(*padded_dates(history.days)):
        x = plot.x(day)
        line(axes, "wire", start=(x, plot.bottom), end=(x, plot.bottom + 5))
        half = text_width(words) / 2
        text(axes, words, at=(min(max(x, half), plot.right + 8 - half), plot.bottom + 19), css="muted", anchor="middle")


def _draw_baselines(svg: Element, history: LevelHistory, *, plot: _Plot) -> None:
    ordered = sorted(history.baselines, key=lambda base: base.since)
    for base, following in zip_longest(ordered, ordered[1:]):
        start, end = plot.x(base.since), plot.x(following.since) if following else plot.right
        made = group(svg, "baseline", data={"name": base.name, "level-db": f"{base.level_db:g}"})
        if base.tolerance_db:
            top, bottom = (plot.y(base.level_db + side * base.tolerance_db) for side in (1, -1))
            rect(made, "fill-band", corner=(start, top), size=(max(0.0, end - start), bottom - top))
            for y in (top, bottom):
                line(made, "wire", start=(start, y), end=(end, y))
        line(made, "accent-line", start=(start, plot.y(base.level_db)), end=(end, plot.y(base.level_db)))
        y = plot.y(base.level_db)
        shape(made, "ink notch", points=[(start, y - 5), (start + 8, y), (start, y + 5)])


def _draw_readings(svg: Element, history: LevelHistory, *, plot: _Plot) -> None:
    spots = [(plot.x(reading.on), plot.y(reading.level_db)) for reading in history.in_order]
    both = {r.on for r in history.readings if r.state == "as found"} & {
        r.on for r in history.readings if r.state == "as left"
    }
    if len(spots) > 1:
        shape(svg, "hairline", points=spots, closed=False)
    for reading, (x, y) in zip(history.in_order, spots, strict=True):
        x += (5 if reading.state == "as left" else -5) if reading.on in both else 0
        made = group(
            svg, "reading", says=f"{day_words(reading.on)}, {reading.state}", data={"level-db": f"{reading.level_db:g}"}
        )
        if reading.uncertainty_db:
            ends = [plot.y(reading.level_db + side * reading.uncertainty_db) for side in (-1, 1)]
            line(made, "accent-line whisker", start=(x, ends[0]), end=(x, ends[1]))
            for end in ends:
                line(made, "accent-line whisker-end", start=(x - 4, end), end=(x + 4, end))
        work_mark(made, reading.state, centre=(x, y))
    if history.readings:
        _name_last(svg, history.in_order[-1], plot=plot)


def _name_last(svg: Element, last: HistoryReading, *, plot: _Plot) -> None:
    words = f"{day_words(last.on)}, {last.state} {quantity(last.level_db, 'dB')}"
    text(svg, words, at=(plot.right, 14), anchor="end")


def _draw_legend(svg: Element, y: float) -> None:
    work_mark(svg, "as found", centre=(16, y - 4.5))
    text(svg, "as found", at=(26, y))
    work_mark(svg, "as left", centre=(106, y - 4.5))
    text(svg, "as left", at=(116, y))
    rect(svg, "fill-band", corner=(182, y - 12), size=(20, 14))
    line(svg, "accent-line", start=(182, y - 5), end=(202, y - 5))
    text(svg, "baseline, tolerance", at=(208, y))
