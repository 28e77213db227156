"""Level over the position of a control: the tapers, the default position, and how far the cap lets the dial reach."""

from collections.abc import Callable
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from registry.drawings.axes import linear
from registry.drawings.lettering import quantity, text_width
from registry.drawings.svg import BOLD_TEXT, PHONE_WIDTH, circle, finish, group, line, rect, root, shape, text
from registry.engineering.dial import Points, Taper, drive_db, output_percent

LOWEST_DB = -60.0
_LEFT, _TOP, _BOTTOM = 36.0, 50.0, 230.0
_DASHES = {"linear": "", "audio": "7 4", "measured": "2 3"}


@dataclass(frozen=True, slots=True)
class DialCurve:
    """A control with its cap and default position; `measured` are (position %, dB) points, () when there are none."""

    title: str
    default_position: float = 50.0
    cap: float = 100.0
    measured: Points = ()

    @property
    def output(self) -> float:
        return output_percent(self.default_position, self.cap)

    @property
    def tapers(self) -> dict[str, Taper]:
        both: dict[str, Taper] = {"linear": "linear", "audio": "audio"}
        return {**both, "measured": self.measured} if len(self.measured) else both

    def level_db(self, taper: str, position: float) -> float | None:
        """The level at a position of the uncapped control; None where a measured taper has no points."""
        chosen = self.tapers[taper]
        if not isinstance(chosen, str) and not chosen[0][0] <= position <= chosen[-1][0]:
            return None
        return drive_db(position, 100.0, chosen)


def draw_dial_curve(curve: DialCurve, *, ident: str = "") -> str:
    """Draw level over position for the tapers, −60 to 0 dB; the dial reaches from 0 to the cap, output = dial · cap.

    Parameters:
        curve: default position 0 to 100 %, cap above 0 to 100 %, measured points with rising positions.
        ident: for the ids, when the same curve stands twice on a page.
    Returns: SVG.
    Raises: ValueError for a position or cap out of range, or bad points.
    Source: common practice (tapers, dial × cap), as in engineering's dial.

    >>> "audio: −42.0 dB" in draw_dial_curve(DialCurve("Bar", default_position=50, cap=60))
    True
    """
    svg_height = _BOTTOM + 64 + 19 * len(curve.tapers)
    svg = root(
        "dial-curve", title=curve.title, description=describe(curve), size=(PHONE_WIDTH, svg_height), ident=ident
    )
    x = linear(0, 100, start=_LEFT, end=PHONE_WIDTH - 14)
    y = linear(LOWEST_DB, 0, start=_BOTTOM, end=_TOP)
    _draw_axes(svg, curve, x=x, y=y)
    for name in curve.tapers:
        _draw_taper(svg, curve, name=name, x=x, y=y)
    _draw_default(svg, curve, x=x, y=y)
    _draw_legend(svg, curve)
    return finish(svg)


def describe(curve: DialCurve) -> str:
    """Say cap, default position and the level there on every taper, for screen readers.

    Parameters:
        curve: as drawn.
    Returns: sentences.
    Raises: ValueError for a position or cap out of range.
    Source: ours.

    >>> describe(DialCurve("Bar", default_position=50, cap=60))
    'Cap 60 %. Dial at its default position 50 %: the control stands at 30 %. linear: −10.5 dB; audio: −42.0 dB.'
    """
    head = f"Cap {curve.cap:g} %. Dial at its default position {curve.default_position:g} %: "
    return f"{head}the control stands at {curve.output:g} %. {'; '.join(_said(curve, name) for name in curve.tapers)}."


def _said(curve: DialCurve, name: str) -> str:
    level = curve.level_db(name, curve.output)
    return f"{name}: {'off' if level == float('-inf') else quantity(level, 'dB')}"


def _draw_axes(svg: Element, curve: DialCurve, *, x: Callable[[float], float], y: Callable[[float], float]) -> None:
    axes = group(svg, "axes")
    rect(axes, "fill-band reach", corner=(x(0), _TOP), size=(x(curve.cap) - x(0), _BOTTOM - _TOP))
    for level in range(int(LOWEST_DB), 1, 10):
        line(axes, "hairline", start=(x(0), y(level)), end=(x(100), y(level)))
        text(axes, quantity(level, "", decimals=0), at=(_LEFT - 6, y(level) + 4.5), css="muted", anchor="end")
    text(axes, "dB", at=(_LEFT - 6, 24), css="muted", anchor="end")
    for position in range(0, 101, 25):
        line(axes, "wire", start=(x(position), _BOTTOM), end=(x(position), _BOTTOM + 5))
        text(axes, str(position), at=(x(position), _BOTTOM + 19), css="muted", anchor="middle")
    text(axes, "position without cap, %", at=(x(100), _BOTTOM + 37), css="muted", anchor="end")
    line(axes, "wire cap", start=(x(curve.cap), _TOP - 8), end=(x(curve.cap), _BOTTOM))
    _name_position(axes, f"cap {curve.cap:g} %: dial at 100 %", x=x(curve.cap), y=18)


def _draw_taper(
    svg: Element, curve: DialCurve, *, name: str, x: Callable[[float], float], y: Callable[[float], float]
) -> None:
    points = []
    for step in range(101):
        position = step * step / 100  # denser where a linear control falls away
        level = curve.level_db(name, position)
        if level is not None and level >= LOWEST_DB:
            points.append((x(position), y(level)))
    if len(points) > 1:
        made = shape(group(svg, "taper", data={"taper": name}), "accent-line", points=points, closed=False)
        if _DASHES[name]:
            made.set("stroke-dasharray", _DASHES[name])


def _draw_default(svg: Element, curve: DialCurve, *, x: Callable[[float], float], y: Callable[[float], float]) -> None:
    made = group(svg, "default-position")
    at = x(curve.output)
    line(made, "wire", start=(at, _TOP - 8), end=(at, _BOTTOM))
    _name_position(made, f"default position {curve.default_position:g} %", x=at, y=36)
    for name in curve.tapers:
        level = curve.level_db(name, curve.output)
        if level is not None and level >= LOWEST_DB:
            circle(made, "ink", centre=(at, y(level)), radius=4)


def _name_position(parent: Element, words: str, *, x: float, y: float) -> None:
    half = text_width(words, BOLD_TEXT) / 2
    text(parent, words, at=(min(max(x, _LEFT + half), PHONE_WIDTH - 4 - half), y), css="ink strong", anchor="middle")


def _draw_legend(svg: Element, curve: DialCurve) -> None:
    for at, name in enumerate(curve.tapers):
        y = _BOTTOM + 60 + 19 * at
        sample = line(svg, "accent-line", start=(8, y - 5), end=(52, y - 5))
        if _DASHES[name]:
            sample.set("stroke-dasharray", _DASHES[name])
        text(svg, f"{_said(curve, name)} at the default position", at=(62, y))
