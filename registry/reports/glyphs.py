"""Which characters the printing fonts have. What they lack becomes a visible box, never a silent gap."""

import unicodedata
from functools import cache
from pathlib import Path
from typing import Final

BOX: Final = "□"
LIST: Final = Path(__file__).with_name("glyphs.txt")
# Joiners, soft hyphens and variation selectors have no shape of their own: leaving them out hides nothing.
SHAPELESS: Final = frozenset({0x00AD, 0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF, *range(0xFE00, 0xFE10)})


@cache
def characters_shown() -> frozenset[int]:
    """Return the code points that the fonts show, regular and bold."""
    words = [word for line in LIST.read_text(encoding="ascii").splitlines() if line[:1] != "#" for word in line.split()]
    ranges = [(int(first, 16), int(last or first, 16)) for first, _, last in (word.partition("-") for word in words)]
    return frozenset(code for first, last in ranges for code in range(first, last + 1))


class _Table(dict[int, str]):
    """What is printed for each code point, worked out when it is first met."""

    def __missing__(self, code: int) -> str:
        self[code] = printed = _printed(code)
        return printed


def _printed(code: int) -> str:
    if code in SHAPELESS:
        return ""
    if code in characters_shown() or code == 0x0A:
        return chr(code)
    # Control characters and those that turn the reading direction are boxes too: they would rearrange what is read.
    return " " if code == 0x09 or unicodedata.category(chr(code)) == "Zs" else BOX


_TABLE: Final = _Table()


def printable(text: str) -> str:
    """Return the text as it can be printed: composed, with a box for every character that the fonts lack."""
    return unicodedata.normalize("NFC", text).translate(_TABLE)


def lacking(text: str) -> frozenset[str]:
    """Return the characters that `printable` shows as boxes."""
    composed = unicodedata.normalize("NFC", text)
    return frozenset(sign for sign in set(composed) if sign != BOX and _TABLE[ord(sign)] == BOX)


def remark(signs: frozenset[str]) -> str:
    """Return the remark that stands on a sheet with boxes; empty when it has none."""
    if not signs:
        return ""
    codes = [f"U+{ord(sign):04X}" for sign in sorted(signs)]
    more = f" and {len(codes) - 8} more" if len(codes) > 8 else ""
    return f"{BOX} stands for a character that the printing fonts lack: {', '.join(codes[:8])}{more}."
