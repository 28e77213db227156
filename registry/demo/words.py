"""Word lists of our own: every name in the demo and in the factories is put together from these."""

from typing import Final

STREETS: Final = (
    "Weir Lane",
    "Tollgate Street",
    "Long Meadow",
    "Ropewalk",
    "Lantern Row",
    "Mill Race",
    "Chalk Hill",
    "Ferry Steps",
    "Orchard End",
    "Old Quay",
)
TRADES: Final = ("Books", "Tools", "Wool", "Bakery", "Cycles", "Lamps", "Teas", "Boots", "Kites", "Frames")
SPACES: Final = ("Front room", "Back room", "Gallery", "Hall", "Stairs", "Counter", "Yard", "Store", "Passage", "Loft")
SPOTS: Final = ("left of the counter", "below the clock", "at the column", "beside the door", "mid-room")
SOURCES: Final = ("Stream 1", "Stream 2", "Line in")
ROLES: Final = ("Manager on duty", "Facilities desk", "Duty librarian", "Front desk", "Shift lead", "Office")
TRACK: Final = "Reference track 1"
METER: Final = "Meter A"


def word(words: tuple[str, ...], number: int) -> str:
    """Return the word at `number`, with a count behind it once the list has run out.

    >>> word(("Hall", "Yard"), 0), word(("Hall", "Yard"), 3)
    ('Hall', 'Yard 2')
    """
    again, place = divmod(number, len(words))
    return f"{words[place]} {again + 1}" if again else words[place]
