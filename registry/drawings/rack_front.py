"""The front of a rack to scale, units numbered from the bottom; what has no known position is listed below it."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from registry.drawings.lettering import shorten, text_width, wrap
from registry.drawings.rack_lanes import Lane, side_by_side
from registry.drawings.svg import (
    BOLD_TEXT,
    LINE_HEIGHT,
    PHONE_WIDTH,
    Point,
    finish,
    group,
    line,
    rect,
    root,
    text,
    text_lines,
)

UNIT_MM, PANEL_MM, OPENING_MM = 44.45, 482.6, 450.0
_PANEL = (23.0, 336.0)  # where the panels begin, and how wide they are drawn
_PER_MM = _PANEL[1] / PANEL_MM
_UNIT = UNIT_MM * _PER_MM
_EAR = (PANEL_MM - OPENING_MM) / 2 * _PER_MM
_TOP = 8.0


@dataclass(frozen=True, slots=True)
class RackItem:
    """What stands in a rack; a bottom unit or a height of None is not known."""

    place: str
    make_model: str = ""
    tag: str = ""
    bottom_unit: int | None = None
    height_u: int | None = None
    href: str = ""
    blank: bool = False

    def __post_init__(self) -> None:
        for name in ("bottom_unit", "height_u"):
            value = getattr(self, name)
            if value is not None and value < 1:
                raise ValueError(f"{name} must be 1 or more, or None when it is not known; got {value}")

    @property
    def words(self) -> str:
        return ", ".join(part for part in (self.place, self.make_model, self.tag) if part) or "item without a name"

    @property
    def units(self) -> str:
        if self.bottom_unit is None:
            return "position not known"
        if self.height_u is None:
            return f"from U{self.bottom_unit}, height not known"
        top = self.bottom_unit + self.height_u - 1
        return f"U{self.bottom_unit}" if top == self.bottom_unit else f"U{self.bottom_unit} to U{top}"


@dataclass(frozen=True, slots=True)
class RackFront:
    """A rack of so many units and what is in it."""

    title: str
    units: int
    items: tuple[RackItem, ...] = ()

    def __post_init__(self) -> None:
        if not 1 <= self.units <= 60:
            raise ValueError(f"A rack has 1 to 60 units, got {self.units}")

    @property
    def placed(self) -> tuple[RackItem, ...]:
        return tuple(item for item in self.items if self._fits(item))

    @property
    def unplaced(self) -> tuple[RackItem, ...]:
        return tuple(item for item in self.items if not self._fits(item))

    def _fits(self, item: RackItem) -> bool:
        if item.bottom_unit is None or item.height_u is None:
            return False
        return item.bottom_unit + item.height_u - 1 <= self.units


def draw_rack_front(rack: RackFront, *, ident: str = "") -> str:
    """Draw a rack front to scale: one unit is 44.45 mm where a panel is 482.6 mm wide.

    Items that share units are drawn side by side. An item of unknown position or height, or one that would reach above
    the rack, is listed below; so is, in full, what had to be shortened.

    Parameters: `rack` of 1 to 60 units, items from unit 1 at the bottom; `ident` for the ids, when the same rack stands
    twice on a page.
    Raises: ValueError for a link that is no path and no http(s) address.
    Source: IEC 60297-3-100 (44.45 mm unit, 482.6 mm panel, 450 mm opening).

    >>> rack = RackFront("Rack A", 12, (RackItem("Amplifier 1", "Make A X1", "0012", bottom_unit=3, height_u=2),))
    >>> 'data-height-u="2"' in draw_rack_front(rack)
    True
    """
    body = Element("g")
    _draw_frame(body, rack)
    lanes = side_by_side([(item.bottom_unit or 1, item.height_u or 1) for item in rack.placed])
    cut = [item for item, lane in zip(rack.placed, lanes, strict=True) if _draw_item(body, rack, item=item, lane=lane)]
    bottom = _TOP + rack.units * _UNIT
    notes = [("In full", cut), ("Position or height not known", _unknown(rack))]
    notes.append((f"Reaches above U{rack.units}", [item for item in rack.unplaced if item not in _unknown(rack)]))
    for heading, items in notes:
        bottom = _draw_list(body, heading, items=items, top=bottom)
    svg = root("rack-front", title=rack.title, description=describe(rack), size=(PHONE_WIDTH, bottom + 8), ident=ident)
    svg.append(body)
    return finish(svg)


def describe(rack: RackFront) -> str:
    """Say what stands where, from the top down, for screen readers.

    Parameters: `rack` as drawn.
    Raises: nothing.
    Source: ours.

    >>> describe(RackFront("Rack A", 12, (RackItem("Shelf", bottom_unit=3, height_u=2), RackItem("Router"))))
    '12 units. U3 to U4: Shelf. position not known: Router.'
    """
    ordered = sorted(rack.placed, key=lambda item: -(item.bottom_unit or 0))
    said = [f"{item.units}: {item.words}." for item in (*ordered, *rack.unplaced)]
    return " ".join([f"{rack.units} units.", *(said or ["Nothing is in it."])])


def _unknown(rack: RackFront) -> list[RackItem]:
    return [item for item in rack.unplaced if item.bottom_unit is None or item.height_u is None]


def _draw_frame(body: Element, rack: RackFront) -> None:
    left, width = _PANEL
    frame = group(body, "frame")
    rect(frame, "wire", corner=(left, _TOP), size=(width, rack.units * _UNIT))
    taken = {unit for item in rack.placed for unit in _units_of(item)}
    for unit in range(1, rack.units + 1):
        y = _TOP + (rack.units - unit) * _UNIT
        text(frame, str(unit), at=(left - 4, y + _UNIT / 2 + 4.5), css="muted", anchor="end")
        if unit not in taken:
            _draw_free_unit(frame, y, first=unit == 1)


def _units_of(item: RackItem) -> range:
    bottom = item.bottom_unit or 1
    return range(bottom, bottom + (item.height_u or 1))


def _draw_free_unit(frame: Element, y: float, *, first: bool) -> None:
    left, width = _PANEL
    for x in (left + _EAR, left + width - _EAR):
        line(frame, "hairline", start=(x, y), end=(x, y + _UNIT))
    if not first:
        line(frame, "hairline", start=(left, y + _UNIT), end=(left + width, y + _UNIT))


def _draw_item(body: Element, rack: RackFront, *, item: RackItem, lane: Lane) -> bool:
    """Return whether some of its words had to be shortened."""
    bottom, height = item.bottom_unit or 1, item.height_u or 1
    data = {"unit": str(bottom), "height-u": str(height)}
    made = group(body, "item", says=f"{item.units}: {item.words}", href=item.href, data=data)
    width = _PANEL[1] / lane.count
    corner = (_PANEL[0] + lane.index * width, _TOP + (rack.units - bottom - height + 1) * _UNIT)
    rect(made, "paper panel", corner=corner, size=(width, height * _UNIT))
    middle = corner[1] + height * _UNIT / 2
    if item.blank and not item.make_model:
        words = " ".join(part for part in (item.place or "blank", item.tag) if part)
        text(made, shorten(words, width - 28), at=(corner[0] + width / 2, middle + 4.5), css="muted", anchor="middle")
        return shorten(words, width - 28) != words
    return _write_item(made, item, at=(corner[0] + 14, middle), width=width - 28)


def _write_item(made: Element, item: RackItem, *, at: Point, width: float) -> bool:
    x, middle = at
    one_line = not item.make_model
    first = middle + 4.5 if one_line else middle - 2.5
    tag = shorten(item.tag, width * 0.45)
    place = item.place or "item without a name"
    shown = shorten(place, width - (text_width(tag) + 10 if tag else 0), size=BOLD_TEXT)
    text(made, shown, at=(x, first), css="ink strong")
    model = shorten(item.make_model, width)
    if tag:
        text(made, tag, at=(x + width, first), anchor="end")
    if model:
        text(made, model, at=(x, middle + 11), css="muted")
    return (tag, shown, model) != (item.tag, place, item.make_model)


def _draw_list(body: Element, heading: str, *, items: Sequence[RackItem], top: float) -> float:
    if not items:
        return top
    text(body, heading, at=(4, top + 24), css="ink strong")
    y = top + 24 + LINE_HEIGHT + 2
    for item in items:
        made = group(body, "listed", href=item.href)
        words = f"{item.units}: {item.words}" if item.bottom_unit else item.words
        y = text_lines(made, wrap(words, PHONE_WIDTH - 16), at=(12, y)) + 2
    return y - LINE_HEIGHT + 2
