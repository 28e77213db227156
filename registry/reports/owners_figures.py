"""What an owner's report says, as plain data: the page, the PDF and the workbook are all made of it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from registry.drawings.level_strip import LevelStrip
from registry.engineering.replacement import Replaceable, life_left, whole_years
from registry.engineering.useful_life import UsefulLife


@dataclass(frozen=True, slots=True)
class Equipment:
    """One item in use, or so many loudspeakers of one model in one zone; None is not known."""

    site: str
    place: str
    rack: str
    what: str
    kind: str
    tag: str
    price: Decimal | None
    currency: str
    life: UsefulLife | None
    installed_on: date | None
    support_until: date | None
    warranty_until: date | None
    count: int = 1

    @property
    def replaceable(self) -> Replaceable:
        """What its replacement depends on, all pieces together."""
        price = None if self.price is None else self.price * self.count
        return Replaceable(price, self.life, self.installed_on, self.support_until)

    @property
    def expected_end(self) -> date | None:
        """When it is expected to need replacing."""
        return self.replaceable.expected_end

    def age(self, today: date) -> int | None:
        """Return its age in full years."""
        return None if self.installed_on is None else whole_years(self.installed_on, today)

    def left(self, today: date) -> float | None:
        """Return the years of use that are expected still, below 0 when they have passed."""
        return life_left(self.expected_end, today)


@dataclass(frozen=True, slots=True)
class AgeBand:
    """How many items are of an age."""

    ages: str
    items: int


@dataclass(frozen=True, slots=True)
class YearCost:
    """What replacing costs in a year, in whole units of the currency, prices raised by inflation."""

    year: str
    pieces: int
    cost: int


@dataclass(frozen=True, slots=True)
class MoneyPlan:
    """Everything whose price is in one currency. `undated` are pieces with a price, but no year to put them in."""

    currency: str
    years: tuple[YearCost, ...]
    total: int
    provision: int
    undated: int
    undated_cost: int
    without_life: int


@dataclass(frozen=True, slots=True)
class VisitCounts:
    """Visits of the last twelve months, and those that are overdue or under way now: plan, site, since when."""

    done: int
    with_exceptions: int
    not_possible: int
    overdue: tuple[tuple[str, str, date], ...]
    under_way: tuple[tuple[str, str, date], ...]
    following: tuple[tuple[str, str, date], ...]


@dataclass(frozen=True, slots=True)
class CallCause:
    """Service calls of the last twelve months with one cause; `unnoted` calls have no minutes noted."""

    cause: str
    calls: int
    minutes: int
    unnoted: int


@dataclass(frozen=True, slots=True)
class OpenFinding:
    """Something that was found and is not done yet."""

    site: str
    says: str
    about: str
    severity: str
    follow_up: str
    found_on: date
    is_hazard: bool


@dataclass(frozen=True, slots=True)
class LineTrouble:
    """A line that must not be driven as it is wired, or that was not in order when it was last measured."""

    site: str
    line: str
    says: str
    is_unsafe: bool


@dataclass(frozen=True, slots=True)
class ZoneState:
    """How a zone's level stands."""

    site: str
    zone: str
    state: str
    strip: LevelStrip


@dataclass(frozen=True, slots=True)
class LifeUsed:
    """A useful life that this report counts with, and how many pieces it is for."""

    what: str
    pieces: int
    life: UsefulLife | None


@dataclass(frozen=True, slots=True)
class OwnersFigures:
    """The whole report."""

    client: str
    about: str
    sites: tuple[str, ...]
    today: date
    since: date
    inflation: Decimal
    equipment: tuple[Equipment, ...]
    loudspeakers: tuple[Equipment, ...]
    spares: int
    ages: tuple[AgeBand, ...]
    money: tuple[MoneyPlan, ...]
    without_price: int
    lives: tuple[LifeUsed, ...]
    warranties: tuple[Equipment, ...]
    visits: VisitCounts
    calls: tuple[CallCause, ...]
    open_calls: int
    findings: tuple[OpenFinding, ...]
    lines: tuple[LineTrouble, ...]
    zones: tuple[ZoneState, ...]
    compared_with: date | None
    changes: tuple[str, ...]

    @property
    def past_life(self) -> tuple[Equipment, ...]:
        """The items whose expected life has passed, the longest past first."""
        past = [each for each in self.equipment if each.expected_end and each.expected_end < self.today]
        return tuple(sorted(past, key=lambda each: each.expected_end or date.max))

    @property
    def without_date(self) -> int:
        """How many items have no day of installation."""
        return sum(each.installed_on is None for each in self.equipment)

    @property
    def without_end(self) -> int:
        """How many items have no expected end, because a day or a useful life is not known."""
        return sum(each.expected_end is None for each in self.equipment)

    @property
    def without_warranty(self) -> int:
        """How many items have no end of warranty recorded."""
        return sum(each.warranty_until is None for each in self.equipment)

    @property
    def loudspeaker_count(self) -> int:
        """How many loudspeakers there are."""
        return sum(each.count for each in self.loudspeakers)

    def zones_that_are(self, state: str) -> int:
        """Return how many zones are in a state."""
        return sum(each.state == state for each in self.zones)
