"""The shapes that stand for a verdict or a reading: each differs in form, so that none depends on colour."""

from typing import Literal
from xml.etree.ElementTree import Element

from registry.drawings.svg import Point, circle, group, line, shape, text

Verdict = Literal["pass", "warn", "fail", "unknown"]
StripWord = Literal["within", "out", "undecided", "not measured", "no baseline"]
WorkState = Literal["as found", "as left"]


def verdict_mark(parent: Element, verdict: Verdict, *, centre: Point) -> Element:
    """Draw the shape of a verdict: disc (pass), triangle (warn), crossed square (fail), diamond with ? (unknown).

    Parameters: `centre` in drawing units; the shape is 16 wide.
    Raises: ValueError for another verdict.
    Source: ours; WCAG 2.2, 1.4.1 (colour is not the only means).

    >>> verdict_mark(Element("svg"), "fail", centre=(8, 8)).get("data-verdict")
    'fail'
    """
    draw = {"pass": _disc, "warn": _triangle, "fail": _crossed_square, "unknown": _diamond}.get(verdict)
    if draw is None:
        raise ValueError(f"A verdict is pass, warn, fail or unknown, got {verdict!r}")
    made = group(parent, "verdict", data={"verdict": verdict})
    draw(made, centre)
    return made


def _disc(parent: Element, centre: Point) -> None:
    circle(parent, "ink", centre=centre, radius=6)


def _triangle(parent: Element, centre: Point) -> None:
    x, y = centre
    shape(parent, "paper", points=[(x, y - 8), (x + 8, y + 7), (x - 8, y + 7)])
    line(parent, "wire", start=(x, y - 3), end=(x, y + 4))


def _crossed_square(parent: Element, centre: Point) -> None:
    x, y = centre
    shape(parent, "fail-line", points=[(x - 7, y - 7), (x + 7, y - 7), (x + 7, y + 7), (x - 7, y + 7)])
    line(parent, "fail-line", start=(x - 7, y - 7), end=(x + 7, y + 7))
    line(parent, "fail-line", start=(x - 7, y + 7), end=(x + 7, y - 7))


def _diamond(parent: Element, centre: Point) -> None:
    x, y = centre
    shape(parent, "paper", points=[(x, y - 10), (x + 10, y), (x, y + 10), (x - 10, y)])
    text(parent, "?", at=(x, y + 4.5), anchor="middle")


def strip_glyph(parent: Element, word: StripWord, *, centre: Point) -> Element:
    """Draw the small sign of a level strip's word: the tolerance as a pair of bars, the reading as a dot.

    The dot is between the bars (within), outside (out), on a bar (undecided), missing (not measured); without a
    baseline there is only a dash.

    Parameters: `centre` in drawing units; the sign is 24 wide, 14 high.
    Raises: ValueError for another word.
    Source: ours.

    >>> strip_glyph(Element("svg"), "out", centre=(12, 8)).get("data-word")
    'out'
    """
    dots = {"within": 0.0, "out": 9.0, "undecided": 5.0, "not measured": None, "no baseline": None}
    if word not in dots:
        raise ValueError(f"The word of a level strip is one of {', '.join(dots)}; got {word!r}")
    made = group(parent, "glyph", data={"word": word})
    (x, y), dot = centre, dots[word]
    if word == "no baseline":
        line(made, "wire", start=(x - 9, y), end=(x + 9, y))
        return made
    for bar in (-10, 0) if word == "out" else (-5, 5):
        line(made, "wire", start=(x + bar, y - 7), end=(x + bar, y + 7))
    if dot is not None:
        circle(made, "verdict-fail" if word == "out" else "ink", centre=(x + dot, y), radius=3.2)
    return made


def work_mark(parent: Element, state: WorkState, *, centre: Point) -> Element:
    """Draw the sign of a reading: hollow square (as found), filled disc (as left).

    Parameters: `centre` in drawing units; the sign is 10 wide.
    Raises: ValueError for another state.
    Source: ours; the two states are calibration practice.

    >>> work_mark(Element("svg"), "as left", centre=(8, 8)).get("data-state")
    'as left'
    """
    made = group(parent, "work", data={"state": state})
    x, y = centre
    if state == "as found":
        shape(made, "paper", points=[(x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5)])
    elif state == "as left":
        circle(made, "accent", centre=centre, radius=5.5)
    else:
        raise ValueError(f"A reading is as found or as left, got {state!r}")
    return made
