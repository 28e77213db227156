"""The door for quantities: what people type becomes a number and back; the one module that owns the pint registry."""

import functools
import math
import re
from typing import TYPE_CHECKING, Literal

from registry.engineering.unit_words import TARGETS, Unit, kind_of, unit_of, words_for

if TYPE_CHECKING:
    import pint

LONGEST_TEXT = 40

# pint's own parser takes "1,5 m" for 15 m and hangs on "9**9**9", so it never sees text: only whitelisted unit names.
_DIGITS = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_SPACE = "[ \u00a0\u2009\u202f]*"
_BARE = re.compile(rf"[+-]?{_DIGITS}")
_QUANTITY = re.compile(rf"([+\-\u2212]?{_DIGITS}(?:[eE][+-]?[0-9]{{1,2}})?){_SPACE}([^0-9.,+\-\u2212\s].*)?")
_FEET_INCHES = re.compile(
    rf"([0-9]+){_SPACE}(?:(?:ft|foot|feet){_SPACE}|['′’]-?{_SPACE})({_DIGITS}){_SPACE}"
    r"(?:in|inch|inches|\"|″|”|''|′′|’’)",
    re.IGNORECASE,
)
_AWG = re.compile(rf"(?:AWG{_SPACE}([0-9]{{1,2}}|[1-4]/0)|([0-9]{{1,2}}|[1-4]/0){_SPACE}AWG)", re.IGNORECASE)

_SHOWN = {"m2": "m²", "mm2": "mm²", "ohm": "Ω", "degC": "°C", "degree": "°"}
_SHOWN_IN_US = {
    "m": (Unit("length", "foot"), "ft"),
    "mm": (Unit("length", "inch"), "in"),
    "m2": (Unit("area", "foot**2"), "ft²"),
    "kg": (Unit("mass", "pound"), "lb"),
    "degC": (Unit("temperature", "degF"), "°F"),
}


def read_quantity(text: str, unit: str) -> float:
    """Read what a person typed or a file holds as a number of `unit`.

    A decimal number with a point, an optional exponent of one or two digits, an optional unit word; a bare number is in
    `unit` already. Feet and inches together (5 ft 6 in, 5' 6", 5'-6") are one length. A bare number never touches pint.

    Parameters:
        text: up to 40 characters. No comma, no formula, no "nan" or "inf".
        unit: the wanted unit, one of `unit_words.TARGETS` (m, mm, m2, mm2, kg, W, VA, Wh, V, A, ohm, s, min, h, Hz,
            degC, degree, Mbit/s, dB, dB(A), %, U).
    Returns:
        The quantity in `unit`, always finite.
    Raises:
        ValueError: anything that is not plainly one quantity of that kind; says what was typed and what to type.
    Source: pint's exact factors (international foot 0.3048 m, pound 0.453 592 37 kg); the words are common practice.

    >>> read_quantity("60 ft", "m"), read_quantity("2.5", "kg"), round(read_quantity("5' 6\\"", "m"), 4)
    (18.288, 2.5, 1.6764)
    >>> read_quantity("1,5 m", "m")
    Traceback (most recent call last):
    ValueError: cannot read '1,5 m': write 1.5 m: use a point, not a comma
    """
    target = TARGETS.get(unit)
    if target is None:
        raise ValueError(f"unit is {unit!r}: allowed is one of {', '.join(TARGETS)}")
    if len(text) <= LONGEST_TEXT and _BARE.fullmatch(text):
        return float(text)
    return _read_worded(text, unit, target)


def _read_worded(text: str, unit: str, target: Unit) -> float:
    """The slow way: spaces, unit words, feet and inches."""
    if len(text) > LONGEST_TEXT:
        raise ValueError(
            f"cannot read {text[:LONGEST_TEXT]!r}…: it is longer than {LONGEST_TEXT} characters; write one number"
        )
    plain = text.strip()
    if target.kind == "length" and (pair := _FEET_INCHES.fullmatch(plain)):
        return _from_feet_and_inches(text, pair, target)
    found = _QUANTITY.fullmatch(plain)
    if found is None:
        raise ValueError(f"cannot read {text!r}: {_advice(plain, unit)}")
    value = float(found[1].replace("\u2212", "-"))
    if found[2] is None:
        return value
    given = unit_of(found[2], target.kind)
    if given is None:
        raise ValueError(f"cannot read {text!r}: {_wrong_unit(found[2], unit, target)}")
    return value if given == target else _convert(value, given.name, target.name)


def _from_feet_and_inches(text: str, pair: re.Match[str], target: Unit) -> float:
    feet, inches = float(pair[1]), float(pair[2])
    if inches >= 12:
        raise ValueError(f"cannot read {text!r}: inches behind feet stay below 12; write one of the two alone")
    return _convert(12 * feet + inches, "inch", target.name)


def _wrong_unit(word: str, unit: str, target: Unit) -> str:
    kind = kind_of(word)
    reason = f"{word!r} is a unit of {kind}, not of {target.kind}" if kind else f"{word!r} is no unit known here"
    return f"{reason}; write one of {words_for(target.kind)}, or the bare number in {unit}"


def _advice(text: str, unit: str) -> str:
    """What to type instead of a text that is no quantity."""
    if not text:
        return f"it is empty; write a number in {unit}, or leave the field out if it is not known"
    if text.lower().lstrip("+-\u2212").startswith(("nan", "inf")):
        return "that is no number; leave the field empty if it is not known"
    if re.match(r"[+-]?[0-9]{1,3}(,[0-9]{3})+(?![0-9,])", text):
        return "a comma can mean thousands or decimals; write 1000 or 1.5, without any comma"
    if text.count(",") == 1 and _QUANTITY.fullmatch(mended := text.replace(",", ".")):
        return f"write {mended}: use a point, not a comma"
    if re.match(r"[+-]?[0-9]+[ \u00a0\u2009\u202f]+[0-9]", text):
        return "two numbers with a space between; write one number, without spaces inside"
    return f"write one number with a point, such as 1.5 or 1.5 {unit}"


@functools.cache
def _registry() -> "pint.UnitRegistry[float]":
    # Imported on first use: it takes half a second, and bare numbers never need it.
    import pint

    return pint.UnitRegistry()


@functools.lru_cache(maxsize=4096)
def _convert(value: float, given: str, wanted: str) -> float:
    # Fifteen digits: without this 12 ft would be 3.6575999999999995 m.
    return float(f"{_registry().convert(value, given, wanted):.15g}")


def show_quantity(value: float, unit: str, system: Literal["metric", "us"] = "metric") -> str:
    """A quantity as people read it: three significant figures (dB: one decimal), a no-break space, a real minus sign.

    For reading, not for editing: it rounds. "us" shows m as ft, mm as in, m2 as ft², kg as lb, degC as °F, and all
    else as it is.

    Parameters:
        value: any finite number, in `unit`.
        unit: one of `unit_words.TARGETS`.
        system: "metric" or "us".
    Returns:
        Text with the unit.
    Raises:
        ValueError: not finite, or no such unit or system.
    Source: ISO 80000-1 (space before the unit, minus sign), from memory; three figures are common practice.

    >>> show_quantity(18.288, "m", "us"), show_quantity(-9.542, "dB"), show_quantity(5.3333, "ohm")
    ('60\\xa0ft', '−9.5\\xa0dB', '5.33\\xa0Ω')
    """
    if unit not in TARGETS or system not in ("metric", "us"):
        raise ValueError(f"unit is {unit!r}, system is {system!r}: allowed are {', '.join(TARGETS)}, and metric or us")
    if not math.isfinite(value):
        raise ValueError(f"value is {value} {unit}: allowed is a finite number; show an unknown as a word")
    label = _SHOWN.get(unit, unit)
    if system == "us" and unit in _SHOWN_IN_US:
        shown, label = _SHOWN_IN_US[unit]
        value = _convert(value, TARGETS[unit].name, shown.name)
    figures = f"{value:.1f}" if unit.startswith("dB") else _three_figures(value)
    negative = figures.startswith("-") and figures.strip("-0.") != ""
    return ("\u2212" * negative) + figures.lstrip("-") + ("" if label == "°" else "\u00a0") + label


def _three_figures(value: float) -> str:
    """Three significant figures, whole numbers in full, no idle zeros."""
    if abs(value) >= 100:
        return f"{value:.0f}"
    return f"{value:.3g}"


def read_cable_size(text: str) -> str:
    """The one spelling of a conductor size: "18 AWG" or "1.5 mm2".

    Parameters:
        text: an AWG number 0 to 40 or 1/0 to 4/0 with "AWG" before or behind it, or an area of 0.05 to 500 mm² with
            its unit.
    Returns:
        The size as `conductor.conductor_area_mm2` takes it.
    Raises:
        ValueError: a bare number, another gauge, another unit, a comma, a size out of range, a number of cores.
    Source: ASTM B258 (AWG numbers), IEC 60228 (areas), from memory.

    >>> read_cable_size("awg18"), read_cable_size("1.50mm²"), read_cable_size("0 AWG")
    ('18 AWG', '1.5 mm2', '1/0 AWG')
    """
    plain = text.strip()
    if len(plain) <= LONGEST_TEXT and (gauge := _AWG.fullmatch(plain)):
        return _awg_name(text, gauge[1] or gauge[2])
    found = _QUANTITY.fullmatch(plain) if len(plain) <= LONGEST_TEXT else None
    if found and found[2] and unit_of(found[2], "area") == TARGETS["mm2"]:
        area_mm2 = float(found[1].replace("\u2212", "-"))
        if 0.05 <= area_mm2 <= 500:
            return f"{area_mm2:.10g} mm2"
    raise ValueError(f"cannot read {text[:LONGEST_TEXT]!r} as a conductor size: write for example 18 AWG or 1.5 mm2")


def _awg_name(text: str, gauge: str) -> str:
    if "/" in gauge:
        return f"{gauge} AWG"
    number = int(gauge)
    if number > 40:
        raise ValueError(f"cannot read {text[:LONGEST_TEXT]!r} as a conductor size: AWG goes from 4/0 to 40")
    return f"{number} AWG" if number else "1/0 AWG"
