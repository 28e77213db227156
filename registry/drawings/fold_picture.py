"""A fold plan as a picture: today's zones on the left, the channels of the amplifiers on the right, wires between."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from registry.drawings.lettering import wrap
from registry.drawings.marks import Verdict
from registry.drawings.schematic_parts import Words, write_words
from registry.drawings.svg import BOLD_TEXT, LINE_HEIGHT, PHONE_WIDTH, Point, finish, group, line, rect, root

_MARGIN, _PADDING, _GAP = 8.0, 8.0, 14.0
_LEFT_SHARE, _WIRES_SHARE = 0.37, 0.19  # of the width; what is left is for the amplifiers


@dataclass(frozen=True, slots=True)
class FoldZoneMark:
    """A zone of today: its loudspeakers, how far off it will be, and the channels that it goes to (box, channel)."""

    name: str
    detail: str
    error: str
    verdict: Verdict
    goes_to: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class FoldChannelMark:
    """One channel with its load beside what it allows."""

    name: str
    load: str
    verdict: Verdict | None = None


@dataclass(frozen=True, slots=True)
class FoldBoxMark:
    """One amplifier of the plan."""

    name: str
    detail: str
    channels: tuple[FoldChannelMark, ...]


@dataclass(frozen=True, slots=True)
class FoldPicture:
    """Everything that a fold plan's picture shows."""

    title: str
    zones: tuple[FoldZoneMark, ...]
    boxes: tuple[FoldBoxMark, ...]


def draw_fold_picture(picture: FoldPicture, *, width: float = PHONE_WIDTH, ident: str = "") -> str:
    """Draw a plan: zones left, channels right, the mismatch under each zone and the load in each channel.

    Parameters: `picture` with its figures as text; `width` 340 to 1400 drawing units: 360 for a phone, 720 for a desk;
    `ident` for the ids, when the same plan stands twice on a page.
    Raises: ValueError for a width outside of 340 to 1400, or a wire to a channel that is not there.
    Source: ours.

    >>> bar = FoldZoneMark("Bar", "2 × 8 Ω", "+0.5 dB", "pass", ((0, 0),))
    >>> box = FoldBoxMark("Amplifier 1", "Make A NA-2", (FoldChannelMark("channel 1", "4 Ω of 4 Ω or more", "warn"),))
    >>> "+0.5 dB" in draw_fold_picture(FoldPicture("Plan", (bar,), (box,)))
    True
    """
    if not 340 <= width <= 1400:
        raise ValueError(f"width must be 340 to 1400, got {width}; 360 is a phone, 720 a desk or a page")
    left = (width - 2 * _MARGIN) * _LEFT_SHARE
    start = _MARGIN + left + (width - 2 * _MARGIN) * _WIRES_SHARE
    body = Element("g")
    wires = group(body, "wires")
    lower, ports = _draw_boxes(body, picture.boxes, x=start, width=width - _MARGIN - start)
    bottom = _draw_zones(body, wires, picture.zones, ports=ports, width=left)
    size = (width, max(lower, bottom) + _MARGIN)
    svg = root("fold", title=picture.title, description=describe_fold(picture), size=size, ident=ident)
    svg.append(body)
    return finish(svg)


Ports = dict[tuple[int, int], Point]


def _draw_boxes(body: Element, boxes: Sequence[FoldBoxMark], *, x: float, width: float) -> tuple[float, Ports]:
    ports: Ports = {}
    y = _MARGIN
    for number, box in enumerate(boxes):
        made = group(body, "item", data={"box": box.name})
        heads = [Words(words, "ink strong") for words in wrap(box.name, width, size=BOLD_TEXT)]
        details = [Words(words, "muted") for words in wrap(box.detail, width)]
        y = write_words(made, [*heads, *details], at=(x, y + LINE_HEIGHT - 4)) - LINE_HEIGHT + 8
        for at, channel in enumerate(box.channels):
            top = y
            y = _draw_channel(made, channel, corner=(x, top), width=width)
            ports[number, at] = (x, (top + y) / 2)
        y += _GAP
    return y, ports


def _draw_channel(parent: Element, channel: FoldChannelMark, *, corner: Point, width: float) -> float:
    room = width - 2 * _PADDING - (24 if channel.verdict else 0)
    name = [Words(words) for words in wrap(channel.name, room)]
    loads = wrap(channel.load, room)
    load = [Words(words, verdict=channel.verdict if at == 0 else None) for at, words in enumerate(loads)]
    height = (len(name) + len(load)) * LINE_HEIGHT + 2 * _PADDING - 4
    made = group(parent, "cell", data={"channel": channel.name})
    rect(made, "paper", corner=corner, size=(width, height))
    write_words(made, [*name, *load], at=(corner[0] + _PADDING, corner[1] + _PADDING + 12))
    return corner[1] + height + 4


def _draw_zones(body: Element, wires: Element, zones: Sequence[FoldZoneMark], *, ports: Ports, width: float) -> float:
    y = _MARGIN
    for zone in zones:
        top = y
        y = _draw_zone(body, zone, corner=(_MARGIN, top), width=width)
        for end in zone.goes_to:
            if end not in ports:
                raise ValueError(f"zone {zone.name} goes to channel {end}, which no amplifier of the picture has")
            line(wires, "wire", start=(_MARGIN + width, (top + y) / 2), end=ports[end])
        y += _GAP
    return y


def _draw_zone(body: Element, zone: FoldZoneMark, *, corner: Point, width: float) -> float:
    room = width - 2 * _PADDING
    names = [Words(words, "ink strong") for words in wrap(zone.name, room, size=BOLD_TEXT)]
    details = [Words(words, "muted") for words in wrap(zone.detail, room)]
    errors = wrap(zone.error, room - 24)
    judged = [Words(words, verdict=zone.verdict if at == 0 else None) for at, words in enumerate(errors)]
    lines = [*names, *details, *judged]
    height = len(lines) * LINE_HEIGHT + 2 * _PADDING - 4
    made = group(body, "mark", data={"zone": zone.name})
    rect(made, "paper", corner=corner, size=(width, height))
    write_words(made, lines, at=(corner[0] + _PADDING, corner[1] + _PADDING + 12))
    return corner[1] + height


def describe_fold(picture: FoldPicture) -> str:
    """Say the whole plan in words, zone by zone, then channel by channel, for screen readers.

    Parameters: `picture` as drawn.
    Raises: nothing.
    Source: ours.

    >>> describe_fold(FoldPicture("Plan", (), (FoldBoxMark("Amplifier 1", "Make A", ()),)))
    'Amplifier 1, Make A.'
    """
    zones = [f"{zone.name}, {zone.detail}: {zone.error}, to {_ends(zone, picture)}." for zone in picture.zones]
    boxes = [
        f"{box.name}, {box.detail}{''.join(f'; {channel.name}: {channel.load}' for channel in box.channels)}."
        for box in picture.boxes
    ]
    return " ".join([*zones, *boxes])


def _ends(zone: FoldZoneMark, picture: FoldPicture) -> str:
    ends = [f"{picture.boxes[box].name} {picture.boxes[box].channels[at].name}" for box, at in zone.goes_to]
    return " and ".join(ends) or "nowhere"
