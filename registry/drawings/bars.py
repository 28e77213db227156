"""A bar chart with its values in words: age of equipment, replacement cost by year."""

from dataclasses import dataclass
from math import isfinite
from xml.etree.ElementTree import Element

from registry.drawings.lettering import NOT_KNOWN, text_width, wrap
from registry.drawings.svg import LINE_HEIGHT, PHONE_WIDTH, Point, finish, group, line, rect, root, text_lines

_LABEL_SHARE = 0.4
_BAR = 16.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: its length is `value`, what is read is `words`; a value of None is not known."""

    label: str
    value: float | None
    words: str = ""

    def __post_init__(self) -> None:
        if self.value is not None and not (isfinite(self.value) and self.value >= 0):
            raise ValueError(
                f"value of {self.label!r} must be 0 or more, or None when it is not known; got {self.value}"
            )

    @property
    def said(self) -> str:
        if self.value is None:
            return self.words or NOT_KNOWN
        return self.words or f"{self.value:g}"


@dataclass(frozen=True, slots=True)
class BarChart:
    """Bars in the order in which they are read, from the top down."""

    title: str
    bars: tuple[Bar, ...] = ()
    when_empty: str = "Nothing to show yet."


def draw_bars(chart: BarChart, *, width: float = PHONE_WIDTH, ident: str = "") -> str:
    """Draw bars from left to right: length = value · room / highest value, from zero.

    Parameters:
        chart: values 0 or more, all in one unit, or None for not known.
        width: 340 to 1400 drawing units; 360 for a phone.
        ident: for the ids, when the same chart stands twice on a page.
    Returns: SVG.
    Raises: ValueError for a width out of range.
    Source: common practice: bars begin at zero.

    >>> draw_bars(BarChart("Age", (Bar("0 to 3 years", 7, "7 items"), Bar("unknown", None)))).count("<rect")
    1
    """
    if not 340 <= width <= 1400:
        raise ValueError(f"width must be 340 to 1400, got {width}; 360 is a phone, 720 a desk or a page")
    body = Element("g")
    y = 8.0
    column = min(width * _LABEL_SHARE, max((text_width(bar.label) for bar in chart.bars), default=0) + 4)
    room = width - column - 28 - max((text_width(bar.said) for bar in chart.bars), default=0)
    highest = max((bar.value or 0.0 for bar in chart.bars), default=0.0)
    for bar in chart.bars:
        length = max(room, 24.0) * (bar.value or 0.0) / highest if highest else 0.0
        y = _draw_bar(body, bar, at=(column, y), length=length, width=width)
    if chart.bars:
        line(body, "wire", start=(column + 8, 4), end=(column + 8, y))
    else:
        y = text_lines(body, wrap(chart.when_empty, width - 16), at=(8, 24), css="muted")
    svg = root("bar-chart", title=chart.title, description=describe(chart), size=(width, y + 4), ident=ident)
    svg.append(body)
    return finish(svg)


def describe(chart: BarChart) -> str:
    """Say every bar, for screen readers.

    Parameters:
        chart: as drawn.
    Returns: a sentence.
    Raises: nothing.
    Source: ours.

    >>> describe(BarChart("Age", (Bar("0 to 3 years", 7, "7 items"), Bar("bought when", None))))
    '0 to 3 years: 7 items; bought when: not known.'
    """
    return "; ".join(f"{bar.label}: {bar.said}" for bar in chart.bars) + "." if chart.bars else chart.when_empty


def _draw_bar(body: Element, bar: Bar, *, at: Point, length: float, width: float) -> float:
    x, y = at
    data = {"label": bar.label, "value": "" if bar.value is None else f"{bar.value:g}"}
    made = group(body, "bar", data=data)
    labels = wrap(bar.label, x)
    words = wrap(bar.said, width - x - 20 - length)
    height = max(26.0, max(len(labels), len(words)) * LINE_HEIGHT + 9)
    first = y + height / 2 + 4.5
    text_lines(made, labels, at=(x, first - (len(labels) - 1) * LINE_HEIGHT / 2), anchor="end")
    if length:
        rect(made, "accent", corner=(x + 8, y + (height - _BAR) / 2), size=(length, _BAR))
    css = "muted" if bar.value is None else "ink"
    text_lines(made, words, at=(x + 14 + length, first - (len(words) - 1) * LINE_HEIGHT / 2), css=css)
    return y + height
