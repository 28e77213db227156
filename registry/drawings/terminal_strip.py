"""How a line is landed at the rack: one terminal for each conductor, jumpers where loudspeakers are put in series."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal
from xml.etree.ElementTree import Element

from registry.drawings.lettering import wrap
from registry.drawings.schematic_parts import Words, junction, write_words
from registry.drawings.svg import (
    BOLD_TEXT,
    PHONE_WIDTH,
    Point,
    circle,
    finish,
    group,
    line,
    root,
    shape,
    text,
)

Pole = Literal["+", "−", "joint"]

_MARGIN = 8.0
_PLUS_X, _MINUS_X, _JUMPER_X, _TERMINAL_X = 22.0, 44.0, 66.0, 88.0
_TEXT_X = 104.0
_ROW_GAP = 8.0


@dataclass(frozen=True, slots=True)
class Terminal:
    """One conductor on its terminal. `to`: the channel's plus or minus, or a joint with the terminal beside it."""

    to: Pole
    conductor: str  # "red, plus of LS1"
    detail: str = ""  # the cable, and where the conductor comes from


@dataclass(frozen=True, slots=True)
class TerminalString:
    """The terminals of one string in the order of the current: plus, pairs of joints, minus."""

    name: str
    terminals: tuple[Terminal, ...]
    remark: str = ""

    def __post_init__(self) -> None:
        order = [terminal.to for terminal in self.terminals]
        if len(order) < 2 or (order[0], order[-1]) != ("+", "−") or set(order[1:-1]) - {"joint"} or len(order) % 2:
            raise ValueError(f"a string's terminals are plus, pairs of joints, minus; got {', '.join(order) or 'none'}")


@dataclass(frozen=True, slots=True)
class TerminalStrip:
    """All that lands for one channel."""

    title: str
    channel: str
    strings: tuple[TerminalString, ...]


def draw_terminal_strip(strip: TerminalStrip, *, width: float = PHONE_WIDTH, ident: str = "") -> str:
    """Draw the strip from top to bottom: plus and minus run down at the left, jumpers join the coils in series.

    Parameters: `strip` with its words; `width` 340 to 1400 drawing units; `ident` for the ids, when the same strip
    stands twice on a page.
    Raises: ValueError for a width outside of 340 to 1400.
    Source: ours; a terminal for each conductor is common practice.

    >>> pair = TerminalString("String 1", (Terminal("+", "red, plus of LS1"), Terminal("joint", "black, minus of LS1"),
    ...     Terminal("joint", "red, plus of LS2"), Terminal("−", "black, minus of LS2")))
    >>> draw_terminal_strip(TerminalStrip("Bar", "Amplifier 1, channel 1", (pair,))).count('data-jumper')
    1
    """
    if not 340 <= width <= 1400:
        raise ValueError(f"width must be 340 to 1400, got {width}; 360 is a phone, 720 a desk or a page")
    body = Element("g")
    heads = [Words(words, "ink strong") for words in wrap(strip.channel, width - 2 * _MARGIN, size=BOLD_TEXT)]
    y = write_words(body, heads, at=(_MARGIN, 20)) - 2
    for x, pole in ((_PLUS_X, "+"), (_MINUS_X, "−")):
        circle(body, "paper", centre=(x, y + 4), radius=9)
        text(body, pole, at=(x, y + 8.5), css="ink strong", anchor="middle")
    top, ends = y + 13, {"+": y + 13, "−": y + 13}
    y += 26
    for string in strip.strings:
        y = _draw_string(body, string, ends=ends, at=y, width=width)
    for x, pole in ((_PLUS_X, "+"), (_MINUS_X, "−")):
        line(body, "wire", start=(x, top), end=(x, ends[pole]))
    svg = root("terminals", title=strip.title, description=describe_strip(strip), size=(width, y + 4), ident=ident)
    svg.append(body)
    return finish(svg)


def _draw_string(body: Element, string: TerminalString, *, ends: dict[str, float], at: float, width: float) -> float:
    made = group(body, "string", data={"string": string.name})
    room = width - _TEXT_X - _MARGIN
    y = write_words(made, [Words(words, "muted") for words in wrap(string.name, room)], at=(_TEXT_X, at + 10))
    joints: list[float] = []
    for terminal in string.terminals:
        spot = (_TERMINAL_X, y - 4)
        _draw_terminal(made, terminal, at=spot)
        if terminal.to == "joint":
            joints.append(spot[1])
        else:
            ends[terminal.to] = spot[1]
        words = [Words(each) for each in wrap(terminal.conductor, room)]
        words += [Words(each, "muted") for each in wrap(terminal.detail, room)]
        y = write_words(made, words, at=(_TEXT_X, y)) + _ROW_GAP
    for upper, lower in zip(joints[::2], joints[1::2], strict=True):
        _draw_jumper(made, upper, lower)
    remark = [Words(words) for words in wrap(string.remark, room)]
    return write_words(made, remark, at=(_TEXT_X, y)) + _ROW_GAP if remark else y


def _draw_terminal(parent: Element, terminal: Terminal, *, at: Point) -> None:
    """The terminal, and its wire to plus or minus; a wire to plus hops over the minus conductor."""
    x, y = at
    if terminal.to == "+":
        for start, end in ((_PLUS_X, _MINUS_X - 5), (_MINUS_X + 5, x - 6)):
            line(parent, "wire", start=(start, y), end=(end, y))
        shape(parent, "wire", points=[(_MINUS_X - 5, y), (_MINUS_X, y - 5), (_MINUS_X + 5, y)], closed=False)
        junction(parent, (_PLUS_X, y))
    elif terminal.to == "−":
        line(parent, "wire", start=(_MINUS_X, y), end=(x - 6, y))
        junction(parent, (_MINUS_X, y))
    shape(parent, "paper", points=[(x - 6, y - 6), (x + 6, y - 6), (x + 6, y + 6), (x - 6, y + 6)])


def _draw_jumper(parent: Element, upper: float, lower: float) -> None:
    made = group(parent, "series", says="jumper", data={"jumper": "yes"})
    points = [(_TERMINAL_X - 6, upper), (_JUMPER_X, upper), (_JUMPER_X, lower), (_TERMINAL_X - 6, lower)]
    shape(made, "accent-line", points=points, closed=False)


def describe_strip(strip: TerminalStrip) -> str:
    """Say every terminal in words, in order, for screen readers.

    Parameters: `strip` as drawn.
    Raises: nothing.
    Source: ours.

    >>> one = TerminalString("String 1", (Terminal("+", "red, plus of LS1"), Terminal("−", "black, minus of LS1")))
    >>> describe_strip(TerminalStrip("Bar", "Amplifier 1, channel 1", (one,)))
    'Amplifier 1, channel 1. String 1: red, plus of LS1 to +; black, minus of LS1 to −.'
    """
    said = [f"{string.name}: {'; '.join(_ends(string.terminals))}." for string in strip.strings]
    return " ".join([f"{strip.channel}.", *said])


def _ends(terminals: Sequence[Terminal]) -> list[str]:
    ends = []
    for at, terminal in enumerate(terminals):
        if terminal.to != "joint":
            ends.append(f"{terminal.conductor} to {terminal.to}")
        elif at % 2:
            ends.append(f"jumper from {terminal.conductor} to {terminals[at + 1].conductor}")
    return ends
