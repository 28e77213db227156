"""A large network as an outline: one part a row, a single rule beside parts in series, a double one beside branches."""

from collections.abc import Callable
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from registry.drawings.lettering import wrap
from registry.drawings.svg import LINE_HEIGHT, group, line, text_lines
from registry.engineering.network import Parallel, Resistor, Series, impedance

Tree = Resistor | Series | Parallel
_WIDEST_INDENT, _INDENT_SHARE = 14.0, 0.4
_LEAST_RULED = 6.0  # nearer together the rules would be a grey field


@dataclass(frozen=True, slots=True)
class _Row:
    node: Tree
    depth: int
    until: int  # the last row that belongs to it


def draw_outline(parent: Element, tree: Tree, *, top: float, width: float, ohm_words: Callable[[float], str]) -> float:
    """Draw every part in its own row, indented by its depth, and return the bottom.

    Parameters:
        tree: leaves of 0 to inf ohm, of any depth.
        top, width: in drawing units; `width` 340 or more.
        ohm_words: how a resistance is said.
    Returns: the bottom, in drawing units.
    Raises: ValueError for a width below 340.
    Source: ours.

    >>> draw_outline(Element("g"), Resistor(8, "LS1"), top=0, width=360, ohm_words=str)
    23.0
    """
    if width < 340:
        raise ValueError(f"width must be 340 or more, got {width}")
    rows = _rows(tree)
    indent = min(_WIDEST_INDENT, width * _INDENT_SHARE / max(1, *(row.depth for row in rows), 1))
    tops = [top]
    for row in rows:
        x = 8 + row.depth * indent
        made = group(
            parent, _kind(row.node), data={"label": row.node.label} if isinstance(row.node, Resistor) else None
        )
        words = wrap(_words(row.node, ohm_words), width - x - 16)
        css = "ink" if isinstance(row.node, Resistor) else "muted"
        tops.append(text_lines(made, words, at=(x + 8, tops[-1] + 15), css=css) - LINE_HEIGHT + 8)
    for at, row in enumerate(rows):
        if row.until > at and indent >= _LEAST_RULED:
            x = 8 + row.depth * indent
            for rule in (x, x + 3) if isinstance(row.node, Parallel) else (x,):
                line(parent, "hairline", start=(rule, tops[at] + 4), end=(rule, tops[row.until + 1]))
    return float(tops[-1])


def _kind(node: Tree) -> str:
    return {Resistor: "resistor", Series: "series", Parallel: "parallel"}[type(node)]


def _words(node: Tree, ohm_words: Callable[[float], str]) -> str:
    if isinstance(node, Resistor):
        return f"{node.label or 'part'}: {ohm_words(node.ohm)}"
    return f"in {_kind(node)}, {len(node.parts)} parts: {ohm_words(impedance(node))}"


def _rows(tree: Tree) -> list[_Row]:
    """Rows from the top down; a loop, so that a chain of any length fits the stack."""
    order: list[tuple[Tree, int]] = []
    waiting = [(tree, 0)]
    while waiting:
        node, depth = waiting.pop()
        order.append((node, depth))
        if not isinstance(node, Resistor):
            waiting.extend((part, depth + 1) for part in reversed(node.parts))
    rows = []
    for at, (node, depth) in enumerate(order):
        deeper = next((later for later in range(at + 1, len(order)) if order[later][1] <= depth), len(order))
        rows.append(_Row(node, depth, deeper - 1))
    return rows
