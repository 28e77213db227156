"""Who is reminded of what: each tech of their own visits, managers of those that nobody has. One letter a day."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import IntegrityError, transaction

from registry.visits.due import Standing, plans_at, standing
from registry.visits.models import Reminder, Visit, VisitPlan
from sites.models import Role, Site, User


@dataclass(frozen=True, slots=True)
class Line:
    """One thing in a letter: the day, what, where, and what is the matter with it."""

    day: date
    what: str
    site: str
    says: str
    late: bool

    def __str__(self) -> str:
        return f"{self.day:%a} {self.day.day} {self.day:%b %Y}  {self.what}, {self.site}: {self.says}"


@dataclass(frozen=True, slots=True)
class Letter:
    """What one person is told on one day."""

    user: User
    day: date
    lines: tuple[Line, ...]

    @property
    def subject(self) -> str:
        """How many visits wait, in one line."""
        late = sum(line.late for line in self.lines)
        count = len(self.lines)
        said = f"{count} visit{'' if count == 1 else 's'} to look after"
        return f"{said}, {late} overdue" if late else said

    @property
    def text(self) -> str:
        """The body of the letter."""
        told = "\n".join(str(line) for line in self.lines)
        return f"{self.subject[0].upper()}{self.subject[1:]}.\n\n{told}\n\nTimes are those at the site.\n"


def letters(now: datetime, *, days: int) -> list[Letter]:
    """Return the letters to send now: what is overdue, and what comes within `days`. A constant number of queries.

    Each site has its own today, by its time zone: it may be tomorrow there already.
    """
    sites = list(Site.objects.select_related("client"))
    plans = list(VisitPlan.objects.filter(ended_on__isnull=True).select_related("site", "client", "tech"))
    found: dict[User | None, list[Line]] = defaultdict(list)
    for at in plans_at(plans, sites):
        today = _day(now, at.site)
        stands = standing(at, today)
        if stands.day is not None and stands.day <= today + timedelta(days=days) and stands.is_unscheduled:
            found[at.plan.tech].append(_unscheduled(stands, stands.day, today))
    for visit in _scheduled():
        day, today = _day(visit.starts_at, visit.site), _day(now, visit.site)
        if day <= today + timedelta(days=days):
            found[visit.tech].append(_line(visit, day, today))
    return _addressed(found, now.date())


def _day(at: datetime, site: Site) -> date:
    return at.astimezone(site.zone_info).date()


def _scheduled() -> Iterable[Visit]:
    waiting = Visit.objects.filter(begun_at__isnull=True, closed_at__isnull=True, called_off_because="")
    return waiting.select_related("site", "tech")


def _unscheduled(stands: Standing, day: date, today: date) -> Line:
    missed = f", {stands.missed} date{'' if stands.missed == 1 else 's'} missed before" if stands.missed else ""
    return Line(day, stands.plan.name, str(stands.site), f"{stands.state}, not scheduled{missed}", day < today)


def _line(visit: Visit, day: date, today: date) -> Line:
    at = f"{visit.starts_at.astimezone(visit.site.zone_info):%H:%M}"
    says = f"overdue, was to begin at {at}" if day < today else f"begins at {at}"
    return Line(day, visit.title, str(visit.site), says if visit.tech else f"{says}, nobody goes yet", day < today)


def _addressed(found: dict[User | None, list[Line]], today: date) -> list[Letter]:
    """Return a letter to each person; what nobody has goes to every manager, and so does what a former tech has."""
    people = {user.pk: user for user in User.objects.filter(is_active=True, role__in=[Role.MANAGER, Role.TECH])}
    managers = [user for user in people.values() if user.role == Role.MANAGER]
    lines: dict[int, list[Line]] = defaultdict(list)
    for user, told in found.items():
        to = [user] if user is not None and user.pk in people else managers
        for person in to:
            lines[person.pk] += told
    in_order = ((people[pk], sorted(told, key=lambda line: (line.day, line.site))) for pk, told in lines.items())
    return sorted(
        (Letter(user, today, tuple(told)) for user, told in in_order if user.email), key=lambda each: each.user.pk
    )


def claim(letter: Letter) -> Reminder | None:
    """Note that a letter goes out, before it does; None when this person had one on that day."""
    try:
        with transaction.atomic():
            return Reminder.objects.create(user=letter.user, day=letter.day)
    except IntegrityError:
        return None


def give_back(reminder: Reminder) -> None:
    """Forget a letter that could not be sent, so that the next run tries again."""
    reminder.delete()
