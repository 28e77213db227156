"""The schematic of a line, drawn the way it is wired: current flows left to right, figures beside each loudspeaker."""

from xml.etree.ElementTree import Element

from registry.drawings.lettering import wrap
from registry.drawings.schematic_chain import Feed, draw_chains_across, draw_chains_upright
from registry.drawings.schematic_ladder import Rails, draw_ladder
from registry.drawings.schematic_line import (
    SchematicCable,
    SchematicLine,
    SchematicLoudspeaker,
    SchematicString,
)
from registry.drawings.schematic_parts import amplifier_box, judgement_words, write_words
from registry.drawings.svg import PHONE_WIDTH, finish, group, root, text, text_lines

__all__ = ["SchematicCable", "SchematicLine", "SchematicLoudspeaker", "SchematicString", "describe", "draw_schematic"]

_MARGIN = 8.0
_BOX_WIDTH = 150.0
_ACROSS_FROM = 600.0


def draw_schematic(line: SchematicLine, *, width: float = PHONE_WIDTH, ident: str = "") -> str:
    """Draw a line: below 600 wide the amplifier stands on top, from 600 on at the left; the height follows.

    Low impedance: strings are rungs between plus and minus, the coils of a string in series on their rung. Constant
    voltage: each string is a daisy chain with a transformer at each loudspeaker.

    Parameters: `line` with its figures as text; `width` 340 to 1400 drawing units: 360 for a phone, 720 for a desk and
    for paper; `ident` for the ids, when the same line stands twice on a page.
    Raises: ValueError for a width outside of 340 to 1400.
    Source: IEC 60617 for the symbols (from memory); layout ours.

    >>> bar = SchematicLine("Bar", "low impedance", "Amplifier 1", "channel 1", "60 W into 4 Ω")
    >>> "nothing is wired to this channel" in draw_schematic(bar)
    True
    """
    if not 340 <= width <= 1400:
        raise ValueError(f"width must be 340 to 1400, got {width}; 360 is a phone, 720 a desk or a page")
    body = Element("g")
    lines = judgement_words(line.verdict, line.judgement, width=width - 2 * _MARGIN)
    top = write_words(body, lines, at=(_MARGIN, 20)) - 10 if lines else _MARGIN
    if not line.wired_strings:
        bottom = amplifier_box(body, line, corner=(_MARGIN, top), width=_BOX_WIDTH * 2) + 26
        text(body, "nothing is wired to this channel", at=(_MARGIN, bottom), css="muted")
    elif line.wiring == "low impedance":
        bottom = _draw_low_impedance(body, line, width=width, top=top)
    else:
        bottom = _draw_constant_voltage(body, line, width=width, top=top)
    warning = wrap(line.warning, width - 2 * _MARGIN)
    end = text_lines(group(body, "caution"), warning, at=(_MARGIN, bottom + 16))
    svg = root("schematic", title=line.title, description=describe(line), size=(width, end), ident=ident)
    svg.append(body)
    return finish(svg)


def _draw_low_impedance(body: Element, line: SchematicLine, *, width: float, top: float) -> float:
    right = width - 14
    if width < _ACROSS_FROM:
        bottom = amplifier_box(body, line, corner=(_MARGIN, top), width=width - 2 * _MARGIN)
        text(body, "+", at=(20, bottom + 15), css="ink strong")
        text(body, "−", at=(right - 6, bottom + 15), css="ink strong", anchor="end")
        return draw_ladder(body, line.wired_strings, rails=Rails(14, right, (14, bottom), (right, bottom), bottom + 16))
    bottom = amplifier_box(body, line, corner=(_MARGIN, top), width=_BOX_WIDTH)
    edge = _MARGIN + _BOX_WIDTH
    text(body, "−", at=(edge - 14, top + 19), css="ink strong")
    text(body, "+", at=(edge - 14, top + 54), css="ink strong")
    rails = Rails(edge + 24, right, (edge, top + 50), (edge, top + 14), top + 20)
    return max(bottom, draw_ladder(body, line.wired_strings, rails=rails))


def _draw_constant_voltage(body: Element, line: SchematicLine, *, width: float, top: float) -> float:
    if width < _ACROSS_FROM:
        bottom = amplifier_box(body, line, corner=(_MARGIN, top), width=width - 2 * _MARGIN)
        text(body, "−", at=(6, bottom + 15), css="ink strong", anchor="middle")
        text(body, "+", at=(37, bottom + 15), css="ink strong", anchor="middle")
        feed = Feed((28, bottom), (14, bottom), 14, width - _MARGIN, bottom + 18)
        return draw_chains_upright(body, line.wired_strings, feed=feed)
    bottom = amplifier_box(body, line, corner=(_MARGIN, top), width=_BOX_WIDTH)
    edge = _MARGIN + _BOX_WIDTH
    text(body, "+", at=(edge - 14, top + 19), css="ink strong")
    text(body, "−", at=(edge - 14, top + 54), css="ink strong")
    feed = Feed((edge, top + 14), (edge, top + 50), edge + 46, width - _MARGIN, top)
    return max(bottom, draw_chains_across(body, line.wired_strings, feed=feed))


def describe(line: SchematicLine) -> str:
    """Say the whole line in words, in wiring order, for screen readers.

    Parameters: `line` as drawn.
    Raises: nothing.
    Source: ours.

    >>> describe(SchematicLine("Bar", "low impedance", "Amplifier 1", "channel 1"))
    'Amplifier 1, channel 1, rating not known. Low impedance. Nothing is wired to this channel.'
    """
    head = [
        f"{line.judgement}." if line.judgement else "",
        f"{line.amplifier}, {line.channel}, {line.rating or 'rating not known'}.",
    ]
    head.append(f"{line.wiring.capitalize()}.")
    strings = [_describe_string(line, string) for string in line.wired_strings]
    return " ".join(part for part in head + (strings or ["Nothing is wired to this channel."]) if part)


def _describe_string(line: SchematicLine, string: SchematicString) -> str:
    chained = "daisy chain" if line.wiring == "constant voltage" else "in series"
    wiring = chained if len(string.loudspeakers) > 1 else "one loudspeaker"
    places = []
    for loudspeaker in string.loudspeakers:
        cable = loudspeaker.cable or SchematicCable()
        places.append(
            ", ".join(
                part for part in (loudspeaker.name, *loudspeaker.figures, loudspeaker.judgement, cable.words) if part
            )
        )
    return f"{string.name or 'String'}, {wiring}: {'; '.join(places)}."
