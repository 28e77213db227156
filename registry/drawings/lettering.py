"""Words and numbers in drawings: formats with units, estimated widths, wrapping, characters that XML cannot hold."""

import math
import re
from unicodedata import east_asian_width

NOT_KNOWN = "not known"
MINUS = "−"
_ILLEGAL_IN_XML = re.compile("[^\t\n\r\u0020-\u007e\u00a0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_UNIT = re.compile(r"(\d) (?=[A-Za-zΩ]{1,3}[²³]?(?:\W|$))")  # a number keeps its unit on its line
_NARROW = frozenset("iljtfrI.,:;'|!()[] ·")
_BROAD = frozenset("mwMWΩ@%—")


def clean(value: str) -> str:
    """Return `value` without the characters that XML 1.0 cannot hold, white space runs made one space.

    Parameters: any text.
    Raises: nothing.
    Source: W3C XML 1.0 (fifth edition), production 2 "Char"; C1 controls are left out too.

    >>> clean("Bar\\x00  <A & B>")
    'Bar <A & B>'
    """
    return " ".join(_ILLEGAL_IN_XML.sub("", value).split())


def number(value: float) -> str:
    """Return a coordinate as text: at most two decimals, no exponent, no negative zero.

    Parameters: `value` in drawing units, any finite number.
    Raises: ValueError for nan and inf.
    Source: W3C SVG 1.1, 4.2 "number".

    >>> number(12.0), number(-0.001), number(1 / 3)
    ('12', '0', '0.33')
    """
    if not math.isfinite(value):
        raise ValueError(f"A coordinate must be a finite number, got {value}; check the value that was to be drawn")
    digits = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if digits == "-0" else digits


def quantity(value: float | None, unit: str, *, decimals: int = 1, signed: bool = False) -> str:
    """Return a value with its unit, the true minus sign, and "not known" for None.

    Parameters: `value` finite or None, in `unit`; `decimals` 0 to 6; `signed` puts + before what is above zero.
    Raises: ValueError for nan and inf.
    Source: SI brochure (9th edition), 5.4.3: a space between number and unit.

    >>> quantity(-9.54, "dB", signed=True), quantity(0.04, "dB", signed=True), quantity(None, "W")
    ('−9.5 dB', '0.0 dB', 'not known')
    """
    if value is None:
        return NOT_KNOWN
    if not math.isfinite(value):
        raise ValueError(f"A shown value must be a finite number, got {value} {unit}; pass None for what is not known")
    rounded = round(value, decimals)
    sign = MINUS if rounded < 0 else "+" if signed and rounded > 0 else ""
    return f"{sign}{abs(rounded):.{decimals}f} {unit}".rstrip()


def text_width(value: str, size: float = 13) -> float:
    """Return the estimated width of a text in drawing units, on the wide side for system sans-serif fonts.

    Parameters: `value` any text; `size` font size in drawing units, above 0.
    Raises: ValueError when `size` is not above 0.
    Source: common practice; the factors were read off four common sans-serif fonts and rounded up.

    >>> text_width("Zone", 10) < text_width("Zone 1", 10) < text_width("Zone 12", 10)
    True
    """
    if not size > 0:
        raise ValueError(f"size must be above 0, got {size}; text on a phone needs 12.5 or more")
    return size * sum(_em(character) for character in value)


def _em(character: str) -> float:
    if east_asian_width(character) in "WF":
        return 1.0
    if character in _NARROW:
        return 0.36
    if character in _BROAD:
        return 0.95
    return 0.7 if character.isupper() else 0.61


def wrap(value: str, width: float, *, size: float = 13) -> tuple[str, ...]:
    """Return the text in lines that fit a width; a word that is too long by itself is cut, never dropped.

    Parameters: `width` and `size` in drawing units, above 0.
    Raises: ValueError when `width` or `size` is not above 0.
    Source: common practice.

    >>> wrap("plus red, minus black", 90)
    ('plus red,', 'minus black')
    >>> wrap("it allows 4 Ω or more", 90)
    ('it allows', '4 Ω or more')
    >>> wrap("", 90)
    ()
    """
    if not width > 0:
        raise ValueError(f"width must be above 0, got {width}; make the drawing wider")
    lines: list[str] = []
    for word in _UNIT.sub("\\1\u00a0", clean(value)).split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size) <= width:
            lines[-1] = joined
        else:
            lines.extend(_pieces(word, width, size=size))
    return tuple(words.replace("\u00a0", " ") for words in lines)


def _pieces(word: str, width: float, *, size: float) -> list[str]:
    pieces = [""] if word else []
    for character in word:
        if pieces[-1] and text_width(pieces[-1] + character, size) > width:
            pieces.append("")
        pieces[-1] += character
    return pieces


def shorten(value: str, width: float, *, size: float = 13) -> str:
    """Return the text, or its beginning and an ellipsis when it is wider than `width`.

    Parameters: `width` and `size` in drawing units, above 0.
    Raises: ValueError when `width` or `size` is not above 0.
    Source: common practice.

    >>> shorten("Amplifier 2", 200), shorten("Amplifier 2 beside the door", 90)
    ('Amplifier 2', 'Amplifier 2…')
    """
    lines = wrap(value, width, size=size)
    if len(lines) < 2:
        return lines[0] if lines else ""
    whole, cut = clean(value), len(clean(value))
    while cut > 1 and text_width(whole[:cut].rstrip() + "…", size) > width:
        cut -= 1
    return whole[:cut].rstrip() + "…"
