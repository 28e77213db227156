"""Who is reminded of what: each tech of their own visits, managers of those that nobody has. One letter a day."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import IntegrityError, transaction

from registry.visits.due import Standing, standings
from registry.visits.models import Reminder, Visit, VisitPlan
from sites.models import Role, Site, User


@dataclass(frozen=True, slots=True)
class Line:
    """One thing in a letter: the day, what, where, and what is the matter with it."""

    day: date
    what: str
    site: str
    says: str

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
        late = sum(line.day < self.day for line in self.lines)
        count = len(self.lines)
        said = f"{count} visit{'' if count == 1 else 's'} to look after"
        return f"{said}, {late} overdue" if late else said

    @property
    def text(self) -> str:
        """The body of the letter."""
        told = "\n".join(str(line) for line in self.lines)
        return f"{self.subject[0].upper()}{self.subject[1:]}.\n\n{told}\n\nTimes are those at the site.\n"


def letters(today: date, *, days: int) -> list[Letter]:
    """Return the letters of a day: what is overdue, and what comes within `days`. A constant number of queries."""
    sites = list(Site.objects.select_related("client"))
    plans = list(VisitPlan.objects.filter(ended_on__isnull=True).select_related("site", "client", "tech"))
    found: dict[User | None, list[Line]] = defaultdict(list)
    until = today + timedelta(days=days)
    for standing in standings(plans, sites, today):
        if standing.day is not None and standing.day <= until and standing.is_unscheduled:
            found[standing.plan.tech].append(_unscheduled(standing, standing.day))
    for visit in _scheduled():
        day = visit.starts_at.astimezone(visit.site.zone_info).date()
        if day <= until:
            found[visit.tech].append(_line(visit, day, today))
    return _addressed(found, today)


def _scheduled() -> Iterable[Visit]:
    waiting = Visit.objects.filter(begun_at__isnull=True, closed_at__isnull=True, called_off_because="")
    return waiting.select_related("site", "tech")


def _unscheduled(standing: Standing, day: date) -> Line:
    missed = f", {standing.missed} date{'' if standing.missed == 1 else 's'} missed before" if standing.missed else ""
    return Line(day, standing.plan.name, str(standing.site), f"{standing.state}, not scheduled{missed}")


def _line(visit: Visit, day: date, today: date) -> Line:
    at = f"{visit.starts_at.astimezone(visit.site.zone_info):%H:%M}"
    says = f"overdue, was to begin at {at}" if day < today else f"begins at {at}"
    return Line(day, visit.title, str(visit.site), says if visit.tech else f"{says}, nobody goes yet")


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
