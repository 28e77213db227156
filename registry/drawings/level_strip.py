"""The level strip: a scale in dB, the tolerance a band, the baseline a notch, the last reading a mark with whiskers."""

from dataclasses import dataclass
from math import isfinite
from xml.etree.ElementTree import Element

from registry.drawings.lettering import quantity, text_width
from registry.drawings.marks import StripWord, strip_glyph
from registry.drawings.svg import circle, finish, group, line, rect, root, shape, text

HALF_SPAN_DB = 10.0  # the same on every page, so that a decibel is as wide on one strip as on the next
_WIDTH, _HEIGHT = 360.0, 64.0
_LEFT, _RIGHT = 12.0, 208.0
_TOP, _AXIS, _BOTTOM = 19.0, 31.0, 43.0
_MIDDLE = (_LEFT + _RIGHT) / 2


@dataclass(frozen=True, slots=True)
class LevelStrip:
    """What a strip shows; the word comes from the comparison of the reading with the baseline."""

    title: str
    word: StripWord
    baseline_db: float | None = None
    tolerance_db: float | None = None
    reading_db: float | None = None
    uncertainty_db: float | None = None
    at_most: bool = False  # the background was so near that the reading is only an upper bound
    when: str = ""

    def __post_init__(self) -> None:
        for name in ("baseline_db", "tolerance_db", "reading_db", "uncertainty_db"):
            value = getattr(self, name)
            if value is not None and not isfinite(value):
                raise ValueError(f"{name} must be a finite number or None, got {value}")
        for name in ("tolerance_db", "uncertainty_db"):
            value = getattr(self, name)
            if value is not None and value < 0:
                raise ValueError(f"{name} must be 0 or more, got {value}")
        if missing := self._missing():
            raise ValueError(f"A strip that says {self.word!r} needs {', '.join(missing)}")

    def _missing(self) -> list[str]:
        needs = {
            "within": ("baseline_db", "tolerance_db", "reading_db"),
            "out": ("baseline_db", "tolerance_db", "reading_db"),
            "undecided": ("baseline_db", "reading_db"),
        }.get(self.word, ())
        missing = [name for name in needs if getattr(self, name) is None]
        if self.word == "not measured" and self.reading_db is not None:
            missing.append("reading_db None")
        if self.word == "no baseline" and self.baseline_db is not None:
            missing.append("baseline_db None")
        return missing

    @property
    def drift_db(self) -> float | None:
        if self.reading_db is None or self.baseline_db is None:
            return None
        return self.reading_db - self.baseline_db

    @property
    def middle_db(self) -> float | None:
        return self.baseline_db if self.baseline_db is not None else self.reading_db

    @property
    def half_span_db(self) -> float:
        return max(HALF_SPAN_DB, 2 * (self.tolerance_db or 0.0))


def draw_level_strip(strip: LevelStrip, *, ident: str = "") -> str:
    """Draw a level strip, 360 by 64: x = middle + (level − baseline) · 98 / half span.

    The scale reaches 10 dB to either side of the baseline (twice the tolerance where that is more); a reading beyond
    it is an arrow at the end with its number.

    Parameters: `strip` levels in dB, tolerance and uncertainty 0 or more dB, None for what is not known; `ident` for
    the ids, when the same strip stands twice on a page.
    Raises: ValueError when the word and the values contradict each other.
    Source: ours; whiskers as in JCGM 100 (expanded uncertainty).

    >>> bar = LevelStrip("Bar", "within", baseline_db=70, tolerance_db=2, reading_db=71.2, uncertainty_db=0.7)
    >>> "+1.2 ± 0.7 dB" in draw_level_strip(bar)
    True
    """
    svg = root("level-strip", title=strip.title, description=describe(strip), size=(_WIDTH, _HEIGHT), ident=ident)
    _draw_scale(svg, strip)
    if strip.baseline_db is not None:
        _draw_band(svg, strip)
    if strip.reading_db is not None:
        _draw_reading(svg, strip, reading_db=strip.reading_db)
    _draw_words(svg, strip)
    return finish(svg)


def describe(strip: LevelStrip) -> str:
    """Say the strip in one sentence, for screen readers and lists.

    Parameters: `strip` as drawn.
    Raises: nothing.
    Source: ours.

    >>> describe(LevelStrip("Bar", "not measured", baseline_db=70, tolerance_db=2))
    'not measured; baseline 70.0 dB, tolerance ± 2.0 dB; reading not known'
    """
    baseline = f"baseline {quantity(strip.baseline_db, 'dB')}"
    if strip.baseline_db is not None:
        baseline += f", tolerance ± {quantity(strip.tolerance_db, 'dB')}"
    reading = f"reading {'at most ' if strip.at_most else ''}{quantity(strip.reading_db, 'dB')}"
    if strip.reading_db is not None:
        reading += f" ± {quantity(strip.uncertainty_db, 'dB')}"
    return "; ".join(part for part in (strip.word, baseline, reading, strip.when) if part)


def _x(strip: LevelStrip, level_db: float) -> float:
    middle = strip.middle_db if strip.middle_db is not None else level_db
    return _MIDDLE + (level_db - middle) * (_RIGHT - _LEFT) / 2 / strip.half_span_db


def _draw_scale(svg: Element, strip: LevelStrip) -> None:
    scale = group(svg, "scale")
    line(scale, "wire", start=(_LEFT, _AXIS), end=(_RIGHT, _AXIS))
    half = int(strip.half_span_db)
    step = 1 if half <= 12 else 5
    for decibel in range(-half + half % step, half + 1, step):
        x = _MIDDLE + decibel * (_RIGHT - _LEFT) / 2 / strip.half_span_db
        length = 6 if decibel % 5 == 0 else 3
        line(scale, "hairline", start=(x, _AXIS), end=(x, _AXIS + length))
    if strip.middle_db is not None:
        text(scale, f"−{strip.half_span_db:g}", at=(_LEFT - 6, 59), css="muted")
        text(scale, f"+{strip.half_span_db:g}", at=(_RIGHT + 6, 59), css="muted", anchor="end")


def _draw_band(svg: Element, strip: LevelStrip) -> None:
    band = group(svg, "tolerance")
    reach = (strip.tolerance_db or 0.0) * (_RIGHT - _LEFT) / 2 / strip.half_span_db
    left, right = _MIDDLE - reach, _MIDDLE + reach
    if reach > 0:
        rect(band, "fill-band", corner=(left, _TOP), size=(right - left, _BOTTOM - _TOP))
        for x in (left, right):
            line(band, "wire", start=(x, _TOP), end=(x, _BOTTOM))
    for edge, depth in ((_TOP - 1, 7), (_BOTTOM + 1, -7)):
        shape(band, "ink notch", points=[(_MIDDLE - 4.5, edge), (_MIDDLE + 4.5, edge), (_MIDDLE, edge + depth)])
    text(band, quantity(strip.baseline_db, "dB"), at=(_MIDDLE, 59), anchor="middle")


def _draw_reading(svg: Element, strip: LevelStrip, *, reading_db: float) -> None:
    x, css = _x(strip, reading_db), "verdict-fail" if strip.word == "out" else "accent"
    mark = group(svg, "mark", data={"level-db": f"{reading_db:g}"})
    if _LEFT <= x <= _RIGHT:
        _draw_whiskers(mark, strip, reading_db=reading_db)
        circle(mark, css, centre=(x, _AXIS), radius=5.5)
    else:
        end, tip = (_RIGHT, 9) if x > _RIGHT else (_LEFT, -9)
        shape(mark, f"{css} off-scale", points=[(end - tip, _AXIS - 7), (end, _AXIS), (end - tip, _AXIS + 7)])
    words = f"{'≤ ' if strip.at_most else ''}{quantity(reading_db, '')}"
    half = text_width(words) / 2
    text(mark, words, at=(min(max(x, _LEFT - 6 + half), _RIGHT + 6 - half), 13), anchor="middle")


def _draw_whiskers(mark: Element, strip: LevelStrip, *, reading_db: float) -> None:
    if not (strip.uncertainty_db or strip.at_most):
        return
    reach = strip.uncertainty_db or 0.0
    ends = [_x(strip, reading_db - (1000 if strip.at_most else reach)), _x(strip, reading_db + reach)]
    inside = [min(max(x, _LEFT), _RIGHT) for x in ends]
    line(mark, "accent-line whisker", start=(inside[0], _AXIS), end=(inside[1], _AXIS))
    for x, drawn in zip(ends, inside, strict=True):
        if x == drawn:  # a whisker that runs off the scale has no end
            line(mark, "accent-line whisker-end", start=(x, _AXIS - 5), end=(x, _AXIS + 5))


def _draw_words(svg: Element, strip: LevelStrip) -> None:
    strip_glyph(svg, strip.word, centre=(234, 25))
    css = "verdict-fail strong" if strip.word == "out" else "ink strong"
    text(svg, strip.word, at=(252, 30), css=css)
    if strip.drift_db is not None:
        give_or_take = f" ± {quantity(strip.uncertainty_db, '')}" if strip.uncertainty_db is not None else ""
        bound = "≤ " if strip.at_most else ""
        text(svg, f"{bound}{quantity(strip.drift_db, '', signed=True)}{give_or_take} dB", at=(224, 50))
    elif strip.tolerance_db is not None:
        text(svg, f"tolerance ± {quantity(strip.tolerance_db, 'dB')}", at=(224, 50), css="muted")
    elif strip.reading_db is None:
        text(svg, "no reading", at=(224, 50), css="muted")
