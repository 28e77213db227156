"""A dozen invented clients beside the garden centre: who they are, and how their sites stand."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Story(StrEnum):
    """How a site stands."""

    IN_ORDER = "in order"
    DRIFTED = "drifted"  # the first zone is far louder than its baseline
    OVERLOADED = "overloaded"  # the first line asks more than its channel allows
    NOT_MEASURED = "not measured"  # since its baseline
    NO_BASELINE = "no baseline"  # surveyed, not commissioned yet


@dataclass(frozen=True, slots=True, kw_only=True)
class Premises:
    """One site. `age_weeks` is the age of the equipment and its baseline, `read_weeks` that of the last readings."""

    client: str
    contact: str
    code: str
    name: str
    zones: tuple[str, ...]
    level_db: float
    story: Story = Story.IN_ORDER
    age_weeks: int
    read_weeks: int = 4
    life_safety_zone: str = ""
    us: bool = False


def _library(code: str, name: str, *zones: str, story: Story, age_weeks: int, read_weeks: int = 4) -> Premises:
    return Premises(
        client="Quillmarsh Libraries",
        contact="Duty librarian",
        code=code,
        name=name,
        zones=zones,
        level_db=50.0,
        story=story,
        age_weeks=age_weeks,
        read_weeks=read_weeks,
    )


PREMISES: Final = (
    _library(
        "quillmarsh",
        "Quillmarsh Library",
        *("Lobby", "Lending hall", "Children's corner", "Reading room"),
        story=Story.IN_ORDER,
        age_weeks=60,
        read_weeks=9,
    ),
    _library("tarnbeck", "Tarnbeck Library", "Lobby", "Stacks", "Reading room", story=Story.DRIFTED, age_weeks=75),
    _library("ostlow", "Ostlow Library", "Lobby", "Stacks", story=Story.NOT_MEASURED, age_weeks=30),
    Premises(
        client="Tin Heron Taproom",
        contact="Shift lead",
        code="tin-heron",
        name="Tin Heron Taproom",
        zones=("Bar", "Long tables", "Yard"),
        level_db=68.0,
        age_weeks=44,
        read_weeks=3,
        us=True,
    ),
    Premises(
        client="Harrowfen Books",
        contact="Manager on duty",
        code="harrowfen",
        name="Harrowfen Books",
        zones=("Ground floor", "Gallery"),
        level_db=54.0,
        age_weeks=98,
        read_weeks=6,
        us=True,
    ),
    Premises(
        client="Spindlewick Cycles",
        contact="Office",
        code="spindlewick-east",
        name="Spindlewick Cycles, East",
        zones=("Showroom", "Workshop"),
        level_db=60.0,
        story=Story.OVERLOADED,
        age_weeks=50,
        read_weeks=12,
    ),
    Premises(
        client="Spindlewick Cycles",
        contact="Office",
        code="spindlewick-west",
        name="Spindlewick Cycles, West",
        zones=("Showroom",),
        level_db=60.0,
        story=Story.NO_BASELINE,
        age_weeks=2,
        read_weeks=1,
    ),
    Premises(
        client="Plumbstone Gym",
        contact="Front desk",
        code="plumbstone",
        name="Plumbstone Gym",
        zones=("Weights", "Studio", "Changing rooms", "Desk"),
        level_db=70.0,
        story=Story.DRIFTED,
        age_weeks=100,
        read_weeks=3,
        us=True,
    ),
    Premises(
        client="Ostlow Court Offices",
        contact="Facilities desk",
        code="ostlow-court",
        name="Ostlow Court",
        zones=("Lobby", "Canteen", "Corridor east", "Corridor west"),
        level_db=48.0,
        age_weeks=22,
        read_weeks=2,
        life_safety_zone="Corridor east",
    ),
    Premises(
        client="Seven Kettles Inn",
        contact="Manager on duty",
        code="seven-kettles",
        name="Seven Kettles Inn",
        zones=("Bar", "Snug", "Dining room", "Garden"),
        level_db=64.0,
        story=Story.OVERLOADED,
        age_weeks=130,
        read_weeks=8,
    ),
    Premises(
        client="Cobblewick Bakery",
        contact="Shift lead",
        code="cobblewick",
        name="Cobblewick Bakery",
        zones=("Counter", "Tables"),
        level_db=58.0,
        age_weeks=35,
        read_weeks=5,
    ),
    Premises(
        client="Tarnbeck Wool",
        contact="Manager on duty",
        code="tarnbeck-wool",
        name="Tarnbeck Wool",
        zones=("Shop", "Loft"),
        level_db=55.0,
        story=Story.NO_BASELINE,
        age_weeks=310,
        read_weeks=2,
    ),
    Premises(
        client="Glimmerhythe Lamps",
        contact="Office",
        code="glimmerhythe",
        name="Glimmerhythe Lamps",
        zones=("Showroom", "Store"),
        level_db=56.0,
        story=Story.NOT_MEASURED,
        age_weeks=101,
    ),
    Premises(
        client="Black Trivet Inn",
        contact="Manager on duty",
        code="black-trivet",
        name="Black Trivet Inn",
        zones=("Bar", "Dining room", "Stairs"),
        level_db=63.0,
        age_weeks=97,
        read_weeks=7,
    ),
    Premises(
        client="Kestrelmoor Kites",
        contact="Manager on duty",
        code="kestrelmoor",
        name="Kestrelmoor Kites",
        zones=("Shop",),
        level_db=57.0,
        age_weeks=16,
        read_weeks=4,
        us=True,
    ),
)
