"""The parts of a schematic: amplifier box, loudspeaker on a wire, loudspeaker behind a transformer, wires, words."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from registry.drawings.lettering import number, wrap
from registry.drawings.marks import Verdict, verdict_mark
from registry.drawings.schematic_line import SchematicCable, SchematicLine, SchematicLoudspeaker
from registry.drawings.svg import BOLD_TEXT, LINE_HEIGHT, Point, circle, group, path, rect, shape, text

HOP = 5.0
COIL = 16.0  # half of the coil that lies on a conductor


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text with its class and, before it, the shape of a verdict."""

    text: str
    css: str = "ink"
    verdict: Verdict | None = None


def cable_words(cable: SchematicCable | None, width: float) -> tuple[list[Words], list[Words]]:
    """Return the lines for size and length, and those for the conductors' colours.

    Parameters: `cable` None for not known; `width` in drawing units, above 0.
    Raises: ValueError when `width` is not above 0.
    Source: ours.

    >>> [line.text for line in cable_words(SchematicCable("18 AWG", "12 m"), 200)[0]]
    ['18 AWG, 12 m']
    """
    piece = cable or SchematicCable()
    return (
        [Words(words, "muted") for words in wrap(piece.words, width)],
        [Words(words, "muted") for words in wrap(piece.colours, width)],
    )


def loudspeaker_words(loudspeaker: SchematicLoudspeaker, width: float) -> tuple[list[Words], list[Words]]:
    """Return the lines for the name, and those for the figures and the judgement.

    Parameters: `width` in drawing units, above 20.
    Raises: ValueError when `width` is too small.
    Source: ours.

    >>> [line.text for line in loudspeaker_words(SchematicLoudspeaker("LS1", load="8 Ω", power="15 W"), 200)[1]]
    ['8 Ω, 15 W']
    """
    name = [Words(words, "ink strong") for words in wrap(loudspeaker.name, width, size=BOLD_TEXT)]
    figures = [Words(words) for part in loudspeaker.figures for words in wrap(part, width)]
    return name, figures + judgement_words(loudspeaker.verdict, loudspeaker.judgement, width=width)


def judgement_words(verdict: Verdict | None, judgement: str, *, width: float) -> list[Words]:
    """Return the lines of a judgement, the first with the shape of its verdict.

    Parameters: `width` in drawing units, above 20.
    Raises: ValueError when `width` is too small.
    Source: ours.

    >>> judgement_words("warn", "warn: no margin", width=200)
    [Words(text='warn: no margin', css='ink strong', verdict='warn')]
    """
    css = "verdict-fail strong" if verdict == "fail" else "ink strong"
    lines = wrap(judgement, width - (24 if verdict else 0), size=BOLD_TEXT)
    return [Words(words, css, verdict if at == 0 else None) for at, words in enumerate(lines)]


def write_words(parent: Element, lines: Sequence[Words], *, at: Point) -> float:
    """Write lines below each other and return the baseline after the last; a verdict's shape stands before its line.

    Parameters: `at` the first baseline.
    Raises: nothing.
    Source: ours.

    >>> write_words(Element("g"), [Words("8 Ω"), Words("15 W")], at=(0, 20))
    54.0
    """
    x, y = at
    indent = 0.0
    for words in lines:
        if words.verdict is not None:
            verdict_mark(parent, words.verdict, centre=(x + 10, y - 4.5))
            indent = 24.0
        text(parent, words.text, at=(x + indent, y), css=words.css)
        y += LINE_HEIGHT
    return float(y)


def wire(parent: Element, points: Sequence[Point], *, hops: Sequence[float] = ()) -> Element:
    """Draw a conductor through points; on its first leg it hops over the conductors that it crosses.

    Parameters: `points` two or more; `hops` x of crossed conductors, left to right, on a first leg that runs right.
    Raises: ValueError for fewer than two points.
    Source: common practice: a crossing without a dot is no connection.

    >>> wire(Element("g"), [(0, 8), (40, 8)], hops=[20]).get("d")
    'M0 8 H15 A5 5 0 0 1 25 8 L40 8'
    """
    if len(points) < 2:
        raise ValueError(f"A wire needs two points or more, got {len(points)}")
    (x, y), *rest = points
    arcs = "".join(f" H{number(hop - HOP)} A{HOP:g} {HOP:g} 0 0 1 {number(hop + HOP)} {number(y)}" for hop in hops)
    legs = "".join(f" L{number(px)} {number(py)}" for px, py in rest)
    return path(parent, "wire", commands=f"M{number(x)} {number(y)}{arcs}{legs}")


def junction(parent: Element, centre: Point) -> Element:
    """Draw the dot where conductors are connected.

    Parameters: `centre` in drawing units.
    Raises: nothing.
    Source: IEC 60617, junction of conductors (from memory).

    >>> junction(Element("g"), (8, 8)).get("class")
    'ink junction'
    """
    return circle(parent, "ink junction", centre=centre, radius=3)


def amplifier_box(parent: Element, line: SchematicLine, *, corner: Point, width: float) -> float:
    """Draw the amplifier channel and return the bottom of its box.

    Parameters: `corner` upper left; `width` above 40.
    Raises: ValueError when `width` is too small for a letter.
    Source: ours.

    >>> bare = SchematicLine("Bar", "low impedance", "Amplifier 1", "channel 1")
    >>> amplifier_box(Element("g"), bare, corner=(0, 0), width=200)
    64.0
    """
    x, y = corner
    lines = [Words(words, "ink strong") for words in wrap(line.amplifier, width - 36, size=BOLD_TEXT)]
    lines += [
        Words(words) for part in (line.channel, line.rating or "rating not known") for words in wrap(part, width - 36)
    ]
    height = max(64.0, len(lines) * LINE_HEIGHT + 13)
    box = group(parent, "amplifier")
    rect(box, "paper", corner=corner, size=(width, height))
    write_words(box, lines, at=(x + 10, y + 19))
    return y + height


def coil_on_wire(parent: Element, *, centre: Point) -> None:
    """Draw a loudspeaker whose coil lies on a conductor that runs right, 32 wide, plus on the left.

    Parameters: `centre` on the conductor.
    Raises: nothing.
    Source: IEC 60617, loudspeaker (from memory); plus and minus are common practice.

    >>> made = Element("g"); coil_on_wire(made, centre=(40, 40)); len(made)
    4
    """
    x, y = centre
    shape(parent, "paper", points=[(x - 11, y - 8), (x + 11, y - 8), (x + 19, y - 21), (x - 19, y - 21)])
    rect(parent, "paper coil", corner=(x - COIL, y - 8), size=(2 * COIL, 16))
    text(parent, "+", at=(x - 9, y + 4.5), anchor="middle")
    text(parent, "−", at=(x + 9, y + 4.5), anchor="middle")


def coil_behind_transformer(parent: Element, *, plus: Point, minus: Point) -> None:
    """Draw a line transformer between two points above each other, and its loudspeaker on the right, 62 wide.

    Parameters: `plus` the upper point, `minus` the lower, at least 40 below at the same x.
    Raises: nothing.
    Source: IEC 60617, transformer (two circles) and loudspeaker (from memory).

    >>> made = Element("g"); coil_behind_transformer(made, plus=(20, 0), minus=(20, 50)); len(made)
    10
    """
    (x, top), (_, bottom) = plus, minus
    y = min((top + bottom) / 2, top + 36)
    for start, end in ((top, y - 9), (y + 9, bottom)):
        wire(parent, [(x, start), (x, end)])
    for side in (0, 11):
        circle(parent, "wire transformer", centre=(x + side, y), radius=9)
    for edge in (-1, 1):
        wire(
            parent, [(x + 11, y + edge * 9), (x + 11, y + edge * 14), (x + 36, y + edge * 14), (x + 36, y + edge * 10)]
        )
    shape(parent, "paper", points=[(x + 42, y - 10), (x + 55, y - 19), (x + 55, y + 19), (x + 42, y + 10)])
    rect(parent, "paper coil", corner=(x + 30, y - 10), size=(12, 20))
    text(parent, "+", at=(x - 12, top + 15), anchor="middle")
    text(parent, "−", at=(x - 12, bottom - 6), anchor="middle")
