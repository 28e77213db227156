"""The few SVG elements every drawing is made of: escaped, titled, without script or style, legible on their own."""

import re
from collections.abc import Mapping, Sequence
from hashlib import sha256
from types import MappingProxyType
from xml.etree.ElementTree import Element, SubElement, tostring

from registry.drawings.lettering import clean, number

PHONE_WIDTH = 360.0  # drawing units: what a 390 px screen leaves between its margins, so 13 units are 13 px there
TEXT = 13.0
BOLD_TEXT = 14.6  # what 13 bold measures
LINE_HEIGHT = 17.0
Point = tuple[float, float]

_SOLID = {"fill": "currentColor"}
_STROKE = {"fill": "none", "stroke": "currentColor", "stroke-width": "1.5"}
# What each class looks like where drawings.css is not loaded: in a PDF, in a saved file.
_FALLBACK: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "ink": _SOLID,
        "accent": _SOLID,
        "muted": _SOLID,
        "verdict-fail": _SOLID,
        "fill-band": {"fill": "currentColor", "fill-opacity": "0.12"},
        "level": {"fill": "currentColor"},
        "paper": _STROKE,
        "wire": _STROKE,
        "fail-line": _STROKE,
        "accent-line": {**_STROKE, "stroke-width": "2"},
        "hairline": {**_STROKE, "stroke-width": "1", "stroke-opacity": "0.4"},
    }
)
_IDENT = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_LOCAL_OR_WEB = re.compile(r"(?:/(?!/)|#|\?|https?://)[^\s\\]*")


def root(kind: str, *, title: str, description: str, size: Point, ident: str = "") -> Element:
    """Return an empty drawing with its title and description wired for screen readers.

    Parameters: `kind` a word that becomes a class; `size` width and height in drawing units, above 0; `ident` begins
    the ids and must differ between two drawings of one page; empty takes it from the words and the size.
    Raises: ValueError for an empty title, a size that is not above 0, an ident that is no plain word.
    Source: W3C SVG 1.1, 5.4 (title and desc) and 7.7 (viewBox); WAI-ARIA 1.2 role img.

    >>> root("strip", title="Bar", description="72 dB", size=(360, 64), ident="z1").get("aria-labelledby")
    'z1-title z1-desc'
    """
    title, description = clean(title), clean(description)
    width, height = size
    if not title:
        raise ValueError("A drawing needs a title, got an empty one; name what it shows")
    if not (width > 0 and height > 0):
        raise ValueError(f"A drawing needs a width and a height above 0, got {width} by {height}")
    ident = ident or f"{kind}-{sha256(f'{title} {description} {size}'.encode()).hexdigest()[:10]}"
    if not _IDENT.fullmatch(ident):
        raise ValueError(f"ident must be letters, digits, - and _, beginning with a letter; got {ident!r}")
    svg = Element("svg", _root_attributes(kind, ident, width=width, height=height))
    for name, words in (("title", title), ("desc", description)):
        SubElement(svg, name, {"id": f"{ident}-{name}"}).text = words
    return svg


def _root_attributes(kind: str, ident: str, *, width: float, height: float) -> dict[str, str]:
    return {
        "xmlns": "http://www.w3.org/2000/svg",
        "class": f"drawing {kind}",
        "viewBox": f"0 0 {number(width)} {number(height)}",
        "width": number(width),
        "height": number(height),
        "role": "img",
        "aria-labelledby": f"{ident}-title {ident}-desc",
        "font-family": "sans-serif",
        "font-size": number(TEXT),
    }


def finish(svg: Element) -> str:
    """Return the drawing as text, every label escaped.

    Parameters: `svg` from `root`.
    Raises: nothing.
    Source: W3C XML 1.0, 2.4.

    >>> finish(root("strip", title="<A & B>", description="", size=(360, 64))).count("&lt;A &amp; B&gt;")
    1
    """
    return tostring(svg, encoding="unicode", short_empty_elements=False)


def _add(parent: Element, tag: str, *, css: str, geometry: Mapping[str, str]) -> Element:
    looks = _FALLBACK.get(css.split(" ")[0], {}) if css else {}
    return SubElement(parent, tag, {**({"class": css} if css else {}), **looks, **geometry})


def group(
    parent: Element, css: str = "", *, says: str = "", href: str = "", data: Mapping[str, str] | None = None
) -> Element:
    """Add a group, a link when `href` is given, with data attributes and a tooltip.

    Parameters: `css` classes; `says` becomes the group's title; `href` a path on this site or http(s); `data` names
    without "data-".
    Raises: ValueError for an href of any other scheme.
    Source: W3C SVG 1.1, 5.2 and 17.1.

    >>> group(Element("svg"), "item", href="/items/7/").tag
    'a'
    """
    if href and not _LOCAL_OR_WEB.fullmatch(href):
        raise ValueError(f"A link must begin with /, #, ? or http(s)://, got {href!r}")
    attributes = {f"data-{name}": clean(value) for name, value in (data or {}).items()}
    made = _add(parent, "a" if href else "g", css=css, geometry={**attributes, **({"href": href} if href else {})})
    if says:
        SubElement(made, "title").text = clean(says)
    return made


def line(parent: Element, css: str, *, start: Point, end: Point) -> Element:
    """Add a straight line.

    Parameters: `start`, `end` in drawing units.
    Raises: ValueError for a coordinate that is not finite.
    Source: W3C SVG 1.1, 9.5.

    >>> line(Element("svg"), "wire", start=(0, 1), end=(8, 1)).get("x2")
    '8'
    """
    (x1, y1), (x2, y2) = start, end
    return _add(
        parent, "line", css=css, geometry={"x1": number(x1), "y1": number(y1), "x2": number(x2), "y2": number(y2)}
    )


def rect(parent: Element, css: str, *, corner: Point, size: Point) -> Element:
    """Add a rectangle.

    Parameters: `corner` upper left, `size` width and height (0 or more), in drawing units.
    Raises: ValueError for a coordinate that is not finite or a size below 0.
    Source: W3C SVG 1.1, 9.2.

    >>> rect(Element("svg"), "fill-band", corner=(0, 0), size=(8, 4)).get("fill-opacity")
    '0.12'
    """
    if min(size) < 0:
        raise ValueError(f"A rectangle must not be smaller than 0, got {size[0]} by {size[1]}")
    box = {"x": corner[0], "y": corner[1], "width": size[0], "height": size[1]}
    return _add(parent, "rect", css=css, geometry={name: number(value) for name, value in box.items()})


def circle(parent: Element, css: str, *, centre: Point, radius: float) -> Element:
    """Add a circle.

    Parameters: `centre` and `radius` (above 0) in drawing units.
    Raises: ValueError for a radius that is not above 0.
    Source: W3C SVG 1.1, 9.3.

    >>> circle(Element("svg"), "accent", centre=(4, 4), radius=3).get("r")
    '3'
    """
    if not radius > 0:
        raise ValueError(f"A circle needs a radius above 0, got {radius}")
    return _add(
        parent, "circle", css=css, geometry={"cx": number(centre[0]), "cy": number(centre[1]), "r": number(radius)}
    )


def shape(parent: Element, css: str, *, points: Sequence[Point], closed: bool = True) -> Element:
    """Add a polygon, or an open run of lines.

    Parameters: `points` two or more, in drawing units.
    Raises: ValueError for fewer than two points.
    Source: W3C SVG 1.1, 9.6 and 9.7.

    >>> shape(Element("svg"), "wire", points=[(0, 0), (4, 0), (4, 8)], closed=False).get("points")
    '0,0 4,0 4,8'
    """
    if len(points) < 2:
        raise ValueError(f"A shape needs two points or more, got {len(points)}")
    spots = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return _add(parent, "polygon" if closed else "polyline", css=css, geometry={"points": spots})


def path(parent: Element, css: str, *, commands: str) -> Element:
    """Add a path for what lines and circles cannot draw.

    Parameters: `commands` path data in drawing units.
    Raises: ValueError when the data begin with anything but a move.
    Source: W3C SVG 1.1, 8.3.

    >>> path(Element("svg"), "wire", commands="M0 0 A4 4 0 0 1 8 0").get("d")
    'M0 0 A4 4 0 0 1 8 0'
    """
    if not commands.startswith("M"):
        raise ValueError(f"A path must begin with M, got {commands!r}")
    return _add(parent, "path", css=css, geometry={"d": commands})


def text(
    parent: Element, value: str, *, at: Point, css: str = "ink", anchor: str = "start", size: float = TEXT
) -> Element:
    """Add one line of text.

    Parameters: `at` its baseline's start, middle or end, as `anchor` says; `size` 12.5 or more, in drawing units.
    Raises: ValueError for a size below 12.5 (too small on a phone) or another anchor.
    Source: W3C SVG 1.1, 10.4 and 10.9.

    >>> text(Element("svg"), "8 Ω", at=(4, 12)).text
    '8 Ω'
    """
    if size < 12.5:
        raise ValueError(f"Text must be 12.5 or more to be read on a phone, got {size}")
    if anchor not in ("start", "middle", "end"):
        raise ValueError(f"anchor must be start, middle or end, got {anchor!r}")
    place = {"x": number(at[0]), "y": number(at[1]), "text-anchor": anchor, "font-size": number(size)}
    if "strong" in css.split(" "):
        place["font-weight"] = "bold"
    made = _add(parent, "text", css=css, geometry=place)
    made.text = clean(value)
    return made


def text_lines(parent: Element, lines: Sequence[str], *, at: Point, css: str = "ink", anchor: str = "start") -> float:
    """Add several lines of text below each other and return the baseline after the last.

    Parameters: `at` the first baseline, in drawing units.
    Raises: what `text` raises.
    Source: common practice: 17 units from line to line at 13.

    >>> text_lines(Element("svg"), ["8 Ω", "30 W"], at=(0, 20))
    54.0
    """
    x, y = at
    for words in lines:
        text(parent, words, at=(x, y), css=css, anchor=anchor)
        y += LINE_HEIGHT
    return float(y)
