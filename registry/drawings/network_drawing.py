"""A network of resistors as boxes: in series side by side, in parallel below each other, each group with its value."""

from dataclasses import dataclass
from math import isinf
from xml.etree.ElementTree import Element

from registry.drawings.lettering import text_width, wrap
from registry.drawings.network_outline import draw_outline
from registry.drawings.svg import (
    LINE_HEIGHT,
    PHONE_WIDTH,
    Point,
    circle,
    finish,
    group,
    line,
    rect,
    root,
    text,
    text_lines,
)
from registry.engineering.network import Parallel, Resistor, Series, impedance

Tree = Resistor | Series | Parallel
_GAP, _RAIL, _CAPTION = 12.0, 14.0, 20.0
_DEEPEST, _MOST_PARTS = 8, 40


@dataclass(frozen=True, slots=True)
class _Box:
    """A part with its size; its conductor runs through it at `axis` below its top."""

    node: Tree
    width: float
    height: float
    axis: float
    parts: tuple["_Box", ...] = ()


def draw_network(tree: Tree, *, title: str, width: float = PHONE_WIDTH, ident: str = "") -> str:
    """Draw a network: parts in series left to right, parallel branches below each other, Z of every group in words.

    A network that is too wide or too deep for this is drawn as an outline, one part a row.

    Parameters:
        tree: leaves of 0 to inf ohm.
        title: what the network is.
        width: 340 to 1400 drawing units; 360 for a phone.
        ident: for the ids, when the same network stands twice on a page.
    Returns: SVG.
    Raises: ValueError for a width out of range or an empty title.
    Source: OpenStax, College Physics 2e, "Resistors in Series and Parallel", for the values; layout ours.

    >>> pair = Parallel((Resistor(8, "LS1"), Resistor(8, "LS2")))
    >>> "in parallel: 4 Ω" in draw_network(pair, title="Bar")
    True
    """
    if not 340 <= width <= 1400:
        raise ValueError(f"width must be 340 to 1400, got {width}; 360 is a phone, 720 a desk or a page")
    body = Element("g")
    text(body, f"together: {ohm_words(impedance(tree))}", at=(8, 20), css="ink strong")
    box = _measure(tree) if _is_small(tree) else None
    if box is not None and box.width + 40 <= width:
        y = 34 + box.axis
        for start, end in ((10.0, 20.0), (20 + box.width, 30 + box.width)):
            line(body, "wire", start=(start, y), end=(end, y))
        for terminal in (7.0, 33 + box.width):
            circle(body, "wire", centre=(terminal, y), radius=3)
        _draw(body, box, at=(20, 34))
        bottom = 34 + box.height
    else:
        bottom = draw_outline(body, tree, top=34, width=width, ohm_words=ohm_words)
    svg = root("network", title=title, description=describe(tree), size=(width, bottom + 10), ident=ident)
    svg.append(body)
    return finish(svg)


def ohm_words(ohm: float) -> str:
    """Return a resistance in words: three digits that count, "open" and "short circuit" for the two ends.

    Parameters:
        ohm: 0 to inf.
    Returns: text with the unit.
    Raises: ValueError for a negative number or nan.
    Source: common practice.

    >>> ohm_words(8 / 3), ohm_words(1666.7), ohm_words(float("inf")), ohm_words(0)
    ('2.67 Ω', '1667 Ω', 'open', 'short circuit')
    """
    if not ohm >= 0:
        raise ValueError(f"ohm must be 0 or more, got {ohm}")
    if isinf(ohm):
        return "open"
    if ohm == 0:
        return "short circuit"
    return f"{ohm:.0f} Ω" if ohm >= 1000 else f"{float(f'{ohm:.3g}'):g} Ω" if ohm >= 0.0001 else "below 0.0001 Ω"


def describe(tree: Tree) -> str:
    """Say the network in words, for screen readers.

    Parameters:
        tree: as drawn.
    Returns: its impedance, then every leaf from left to right.
    Raises: nothing.
    Source: ours.

    >>> describe(Series((Resistor(8, "LS1"), Resistor(4, "LS2"))))
    '12 Ω together, from LS1 8 Ω, LS2 4 Ω.'
    """
    leaves, waiting = [], [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Resistor):
            leaves.append(f"{node.label or 'part'} {ohm_words(node.ohm)}")
        else:
            waiting.extend(reversed(node.parts))
    return f"{ohm_words(impedance(tree))} together, from {', '.join(leaves)}."


def _is_small(tree: Tree) -> bool:
    waiting, seen = [(tree, 1)], 0
    while waiting:
        node, depth = waiting.pop()
        seen += 1
        if depth > _DEEPEST or seen > _MOST_PARTS:
            return False
        if not isinstance(node, Resistor):
            waiting.extend((part, depth + 1) for part in node.parts)
    return True


def _lines(leaf: Resistor) -> tuple[str, ...]:
    return (*wrap(leaf.label, 96), ohm_words(leaf.ohm))


def _caption(node: Parallel | Series) -> str:
    return f"in {'parallel' if isinstance(node, Parallel) else 'series'}: {ohm_words(impedance(node))}"


def _measure(node: Tree) -> _Box:
    if isinstance(node, Resistor):
        lines = _lines(node)
        height = len(lines) * LINE_HEIGHT + 8
        return _Box(node, max(52.0, *(text_width(words) + 16 for words in lines)), height, height / 2)
    parts = tuple(_measure(part) for part in node.parts)
    least = text_width(_caption(node)) + 8
    if isinstance(node, Parallel):
        width = max(least, max(part.width for part in parts) + 2 * _RAIL)
        height = sum(part.height + _GAP for part in parts) - _GAP + _CAPTION
        return _Box(node, width, height, _CAPTION + parts[0].axis, parts)
    width = max(least, sum(part.width + _GAP for part in parts) - _GAP)
    axis = max(part.axis for part in parts)
    height = axis + max(part.height - part.axis for part in parts) + _CAPTION
    return _Box(node, width, height, axis + _CAPTION, parts)


def _draw(parent: Element, box: _Box, *, at: Point) -> None:
    x, y = at
    if isinstance(box.node, Resistor):
        made = group(parent, "resistor", data={"label": box.node.label, "ohm": f"{box.node.ohm:g}"})
        rect(made, "paper", corner=at, size=(box.width, box.height))
        text_lines(made, _lines(box.node), at=(x + box.width / 2, y + 17), anchor="middle")
        return
    text(parent, _caption(box.node), at=(x + 4, y + 14), css="muted")
    if isinstance(box.node, Parallel):
        _draw_parallel(group(parent, "parallel"), box, at=(x, y + _CAPTION))
    else:
        _draw_series(group(parent, "series"), box, at=at)


def _draw_series(made: Element, box: _Box, *, at: Point) -> None:
    x, axis = at[0], at[1] + box.axis
    for part in box.parts:
        _draw(made, part, at=(x, axis - part.axis))
        x += part.width
        end = at[0] + box.width if part is box.parts[-1] else x + _GAP
        if end > x:
            line(made, "wire", start=(x, axis), end=(end, axis))
        x = end


def _draw_parallel(made: Element, box: _Box, *, at: Point) -> None:
    (left, y), right = at, at[0] + box.width
    axes = []
    for part in box.parts:
        start = left + (box.width - part.width) / 2
        _draw(made, part, at=(start, y))
        axes.append(y + part.axis)
        for near, far in ((left, start), (start + part.width, right)):
            line(made, "wire", start=(near, axes[-1]), end=(far, axes[-1]))
        y += part.height + _GAP
    for rail in (left, right):
        line(made, "wire", start=(rail, axes[0]), end=(rail, axes[-1]))
