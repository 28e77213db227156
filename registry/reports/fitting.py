"""Type as large as a label allows: all of the words, in a font whose signs are equally wide."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

POINT_MM: Final = 25.4 / 72
CELL_EM: Final = 0.603  # the width of every sign of the label font (DejaVu Sans Mono: 1233 of 2048 units)
WIDE_EM: Final = 1.05  # what the font lacks comes from another one, in which a sign takes up to this
LINE_EM: Final = 1.2
LARGEST_PT: Final = 30.0
LEAST_PT: Final = 5.0  # the smallest that a 203 dpi label printer prints legibly (common practice)
DETAIL: Final = 0.55
ENOUGH_PT: Final = 8.0  # from here on whole words are worth more than larger type
JOIN: Final = ", "
HARD_SPACE: Final = "\u00a0"


@dataclass(frozen=True, slots=True)
class Room:
    """The part of a label that is for words; whether a word that is too long may be broken."""

    width_mm: float
    height_mm: float
    break_words: bool = False

    def signs(self, words: str, size_pt: float) -> int:
        """How many signs like these stand on a row."""
        return max(1, int(self.width_mm / (size_pt * POINT_MM * _cell_em(words))))


@lru_cache(maxsize=4096)
def _cell_em(words: str) -> float:
    """How wide a sign of these words is at most; the label font has Latin, Greek, Cyrillic, Arabic, signs, arrows."""
    codes = [ord(sign) for sign in words]
    narrow = [c <= 0x0513 or 0x0600 <= c <= 0x06FF or 0x2010 <= c <= 0x203F or 0x2190 <= c <= 0x25FF for c in codes]
    return CELL_EM if all(narrow) else WIDE_EM


@dataclass(frozen=True, slots=True)
class Fitted:
    """The rows of the identifier and of the details, with their sizes."""

    rows: tuple[str, ...]
    size_pt: float
    detail_rows: tuple[str, ...]
    detail_pt: float


def fitted(words: str, details: Sequence[str], *, width_mm: float, height_mm: float) -> Fitted | None:
    """Return the words in the largest type that fits, or None when they don't fit in type that can be read.

    Details stand on rows of their own, or run on behind each other where that leaves more room for the identifier.
    """
    room = Room(width_mm, height_mm)
    whole = _better(_fitted(words, details, room), _fitted(words, [JOIN.join(details)], room))
    if whole and whole.size_pt >= ENOUGH_PT:
        return whole
    broken = Room(width_mm, height_mm, break_words=True)
    return _better(whole, _better(_fitted(words, details, broken), _fitted(words, [JOIN.join(details)], broken)))


def _better(one: Fitted | None, other: Fitted | None) -> Fitted | None:
    """Return the first, unless the other is much larger."""
    if one and other:
        return other if other.size_pt >= 1.5 * one.size_pt else one
    return one or other


def _fitted(words: str, details: Sequence[str], room: Room) -> Fitted | None:
    size = LARGEST_PT
    while size >= LEAST_PT:
        small = max(LEAST_PT, DETAIL * size)
        rows = wrapped(words, size, room)
        detail_rows = _all_wrapped(details, small, room)
        if rows is not None and detail_rows is not None:
            height_pt = (len(rows) * size + len(detail_rows) * small) * LINE_EM
            if height_pt * POINT_MM <= room.height_mm:
                return Fitted(rows, size, detail_rows, small)
        size -= 0.5
    return None


def _all_wrapped(details: Sequence[str], size_pt: float, room: Room) -> tuple[str, ...] | None:
    found = [wrapped(detail, size_pt, room) for detail in details]
    return None if None in found else tuple(row for rows in found if rows for row in rows)


def wrapped(words: str, size_pt: float, room: Room) -> tuple[str, ...] | None:
    """Return the words in rows, or None when a word that may not be broken is too long for one."""
    signs = room.signs(words, size_pt)
    rows = _rows(words, signs, room.break_words)
    return rows if all(len(row) <= signs for row in rows) else None


@lru_cache(maxsize=8192)
def _rows(words: str, signs: int, break_words: bool) -> tuple[str, ...]:
    """Break the words into rows; hard spaces hold together what belongs together and become ordinary ones."""
    rows = textwrap.wrap(words, signs, break_on_hyphens=False, break_long_words=break_words)
    return tuple(row.replace(HARD_SPACE, " ") for row in rows)
