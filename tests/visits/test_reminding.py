"""Reminders: each tech one letter a day of their own visits, managers of what nobody has."""

from datetime import UTC, date, datetime, time
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.demo.factories import SiteFactory, UserFactory
from registry.visits.models import Counting, Reminder
from registry.visits.plan_editing import save_plan
from registry.visits.reminding import letters
from registry.visits.scheduling import call_off_visit, schedule_visit
from sites.models import Role, Site, User

NOW = datetime(2027, 3, 10, 7, tzinfo=UTC)
pytestmark = pytest.mark.django_db


@pytest.fixture
def tech() -> User:
    return UserFactory(username="tech", email="tech@example.com")


@pytest.fixture
def manager() -> User:
    return UserFactory(username="manager", email="manager@example.com", role=Role.MANAGER)


def visit(tech: User | None, day: int, site: Site | None = None, by: User | None = None) -> object:
    at = datetime(2027, 3, day, 9, tzinfo=UTC)
    site = site or SiteFactory(name="North Hall")
    return schedule_visit(by=by or tech or UserFactory(), site=site, title="Check", starts_at=at, tech=tech)


def plan(tech: User | None, first: date) -> None:
    values = {"site": SiteFactory(name="South Barn"), "name": "Half-yearly", "starts_on": first, "starts_at": time(9)}
    values |= {"rule": "FREQ=MONTHLY;INTERVAL=6;BYMONTHDAY=9", "minutes": 60, "counting": Counting.DUE, "tech": tech}
    save_plan(by=UserFactory(), plan=None, values=values, tasks=[])


def told(days: int = 1) -> dict[str, list[str]]:
    return {letter.user.username: [str(line) for line in letter.lines] for letter in letters(NOW, days=days)}


def test_a_tech_is_told_what_is_overdue_and_what_comes_until_tomorrow(tech: User, manager: User) -> None:
    for day in (9, 11, 12):
        visit(tech, day)
    plan(tech, date(2027, 3, 9))
    assert told() == {
        "tech": [
            "Tue 9 Mar 2027  Check, North Hall: overdue, was to begin at 09:00",
            "Tue 9 Mar 2027  Half-yearly, South Barn: overdue, not scheduled",
            "Thu 11 Mar 2027  Check, North Hall: begins at 09:00",
        ]
    }
    assert len(told(days=2)["tech"]) == 4


def test_today_is_the_site_s_own(tech: User) -> None:
    # At 07:00 UTC it is 10 March in Auckland and in London, and still 9 March in Honolulu (IANA time zones).
    honolulu = SiteFactory(name="Beach Hall", time_zone="Pacific/Honolulu")
    at = datetime(2027, 3, 10, 6, tzinfo=UTC)
    schedule_visit(by=tech, site=honolulu, title="Check", starts_at=at, tech=tech)
    assert told(days=0) == {"tech": ["Tue 9 Mar 2027  Check, Beach Hall: begins at 20:00"]}
    visit(tech, 9, SiteFactory(name="Harbour Hall", time_zone="Pacific/Auckland"))
    (letter,) = letters(NOW, days=0)
    assert letter.subject == "2 visits to look after, 1 overdue"


def test_managers_get_what_nobody_has_and_what_a_former_tech_has(tech: User, manager: User) -> None:
    visit(None, 11, by=tech)
    visit(tech, 11)
    plan(None, date(2027, 3, 9))
    User.objects.filter(pk=tech.pk).update(is_active=False)
    assert list(told()) == ["manager"]
    assert len(told()["manager"]) == 3


def test_nobody_is_told_of_what_was_called_off_or_has_no_address(tech: User) -> None:
    call_off_visit(by=tech, visit=visit(tech, 9), reason="Snow")
    visit(UserFactory(email=""), 9)
    assert told() == {}


def test_the_number_of_queries_does_not_grow(tech: User) -> None:
    counts = []
    for _ in range(2):
        visit(tech, 9)
        plan(tech, date(2027, 3, 9))
        with CaptureQueriesContext(connection) as counted:
            letters(NOW, days=1)
        counts.append(len(counted))
    assert counts[0] == counts[1]


def test_the_command_sends_once_a_day(tech: User, mailoutbox: list[object], capsys: pytest.CaptureFixture[str]) -> None:
    visit(tech, 9)
    with time_machine.travel(datetime(2027, 3, 10, 7, tzinfo=UTC), tick=False):
        call_command("remind", "--dry-run")
        assert (len(mailoutbox), Reminder.objects.count()) == (0, 0)
        call_command("remind")
        call_command("remind")
    assert "0 sent, 1 had one today." in capsys.readouterr().out
    (letter,) = mailoutbox
    assert (letter.to, letter.subject) == (["tech@example.com"], "1 visit to look after, 1 overdue")  # type: ignore[attr-defined]
    with time_machine.travel(datetime(2027, 3, 11, 7, tzinfo=UTC), tick=False):
        call_command("remind")
    assert len(mailoutbox) == 2


def test_a_letter_leads_to_the_visits_where_the_register_has_a_name(
    tech: User, settings: Any, mailoutbox: list[Any]
) -> None:
    visit(tech, 9)
    settings.CSRF_TRUSTED_ORIGINS = ["https://register.example"]
    with time_machine.travel(datetime(2027, 3, 10, 7, tzinfo=UTC), tick=False):
        call_command("remind")
    assert mailoutbox[0].body.endswith("\nOpen them: https://register.example/visits/\n")


def test_a_letter_that_could_not_be_sent_is_tried_again(tech: User, settings: Any, mailoutbox: list[object]) -> None:
    visit(tech, 9)
    usual = settings.EMAIL_BACKEND
    with time_machine.travel(datetime(2027, 3, 10, 7, tzinfo=UTC), tick=False):
        settings.EMAIL_BACKEND = "tests.visits.test_reminding.Deaf"
        with pytest.raises(CommandError, match="1 could not be sent"):
            call_command("remind")
        settings.EMAIL_BACKEND = usual
        call_command("remind")
    assert len(mailoutbox) == 1


class Deaf:
    """A mail server that doesn't answer."""

    def __init__(self, **options: object) -> None:
        pass

    def send_messages(self, messages: object) -> None:
        raise ConnectionRefusedError("nobody listens")
