"""Plans, dates, days without visits and the calendar address, as somebody uses them."""

from datetime import date, timedelta

import pytest
import vobject
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.demo.factories import SiteFactory
from registry.visits.feeds import MadeFeed
from registry.visits.models import Holiday, MovedDate, SiteHours, TaskKind, Visit, VisitPlan
from registry.visits.plan_editing import end_plan
from registry.visits.scheduling import call_off_visit, move_visit
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, queries_of, text_of
from tests.web.visit_plans.conftest import FIRST, THIRD, plan_at, visit_at

PLAN = {
    "name": "Half-yearly",
    "every": "6",
    "unit": "month",
    "on": "weekday",
    "nth": "1",
    "weekday": "1",
    "month_day": "1",
    "month": "1",
    "ends": "never",
    "starts_on": "2099-01-10",
    "starts_at": "09:00",
    "minutes": "90",
    "counting": "due",
    "tasks-on_LEVELS": "on",
    "tasks-months_LEVELS": "6",
    "tasks-note_0": "Ask for the log",
    "tasks-every_0": "0",
}


def test_a_plan_is_made_of_plain_choices_and_starts_on_the_first_day_that_fits(browser: Browser, site: Site) -> None:
    page = browser.post(reverse("site-plan-new", args=[site.code]), PLAN, follow=True)
    plan = VisitPlan.objects.get()
    assert (plan.rule, plan.starts_on) == ("FREQ=MONTHLY;INTERVAL=6;BYDAY=1TU", date(2099, 2, 3))
    assert [(task.kind, task.every_months, task.note) for task in plan.tasks.all()] == [
        (TaskKind.LEVELS, 6, ""),
        (TaskKind.OTHER, 0, "Ask for the log"),
    ]
    assert answer_of(page) == "Every 6 months on the first Tuesday. Next on 3 Feb 2099."


def test_preview_without_script_shows_ten_dates_and_saves_nothing(browser: Browser, site: Site) -> None:
    page = browser.post(reverse("site-plan-new", args=[site.code]), {**PLAN, "preview": "yes"})
    assert "Every 6 months on the first Tuesday." in text_of(page)
    assert page.content.decode().count("<li>Tue ") == 10
    assert not VisitPlan.objects.exists()


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "Every 6 months on the first Tuesday."),
        ({"unit": "month", "on": "day", "month_day": "31", "every": "1"}, "No visit in February, April, June,"),
        ({"every": "x"}, "Every: Enter a whole number."),
        ({"ends": "until"}, "Last possible day: Give it, or let the plan never end."),
        ({"ends": "until", "until": "2099-01-20"}, "let it end later"),
        ({"other_rule": "FREQ=MINUTELY"}, "nothing is visited more often than daily"),
        ({"other_rule": "FREQ=DAILY;INTERVAL=10"}, "By the rule FREQ=DAILY;INTERVAL=10."),
    ],
)
def test_the_preview_answers_while_the_form_is_filled_in(
    browser: Browser, site: Site, given: dict[str, str], says: str
) -> None:
    page = browser.get(reverse("plan-preview", args=[site.code]), {**PLAN, "name": "", **given})
    assert page.status_code == 200
    assert says in text_of(page)


def test_what_is_refused_keeps_what_was_typed(browser: Browser, site: Site) -> None:
    page = browser.post(reverse("site-plan-new", args=[site.code]), {**PLAN, "minutes": "1", "notes": "Mind the dog"})
    assert page.status_code == 422
    assert "Mind the dog" in page.content.decode()
    assert not VisitPlan.objects.exists()


def test_an_edited_plan_shows_its_choices_and_leaves_scheduled_visits(
    browser: Browser, plan: VisitPlan, visit: Visit
) -> None:
    address = reverse("visit-plan-edit", args=[plan.pk])
    form = browser.get(address).context["form"]
    assert (form["on"].value(), form["month_day"].value(), form["every"].value()) == ("day", 15, 1)
    browser.post(address, {**PLAN, "version": form["version"].value()})
    plan.refresh_from_db()
    visit.refresh_from_db()
    assert plan.rule == "FREQ=MONTHLY;INTERVAL=6;BYDAY=1TU"
    assert visit.occurrence == FIRST


def test_of_two_who_edit_a_plan_the_second_is_told(browser: Browser, plan: VisitPlan) -> None:
    address = reverse("visit-plan-edit", args=[plan.pk])
    seen = browser.get(address).context["form"]["version"].value()
    browser.post(address, {**PLAN, "name": "Mine", "version": seen})
    page = browser.post(address, {**PLAN, "name": "Theirs", "version": seen})
    assert page.status_code == 409
    plan.refresh_from_db()
    assert plan.name == "Mine"


def test_a_date_is_scheduled_with_its_tasks(browser: Browser, plan: VisitPlan, site: Site, tech: User) -> None:
    address = reverse("plan-date-schedule", args=[plan.pk, site.code, THIRD])
    form = browser.get(address).context["form"]
    start = {name: form[name].value() or "" for name in ("title", "minutes", "tech")}
    browser.post(address, {**start, "starts_at": "2099-03-15T09:00"})
    visit = Visit.objects.get()
    assert (visit.occurrence, visit.tech, visit.tasks.count()) == (THIRD, tech, 1)


def test_only_a_date_of_the_rule_is_scheduled(browser: Browser, plan: VisitPlan, site: Site) -> None:
    address = reverse("plan-date-schedule", args=[plan.pk, site.code, date(2099, 3, 16)])
    page = browser.post(address, {"title": "x", "minutes": "60", "starts_at": "2099-03-16T09:00"}, follow=True)
    assert "is no open date of this plan" in text_of(page)
    assert not Visit.objects.exists()
    assert browser.get(address.replace("2099-03-16", "2099-02-31")).status_code == 404


def test_a_date_is_moved_left_out_and_put_back(browser: Browser, plan: VisitPlan, site: Site) -> None:
    address = reverse("plan-date-move", args=[plan.pk, site.code, THIRD])
    assert browser.post(address, {"reason": "Fair"}).status_code == 422
    page = browser.post(address, {"to": "2099-03-20", "reason": "Fair"}, follow=True)
    assert "Instead of 15 Mar 2099: Fair" in text_of(page)
    browser.post(address, {"left_out": "on", "reason": "Closed"})
    moved = MovedDate.objects.get()
    assert (moved.to, moved.reason) == (None, "Closed")
    browser.post(reverse("plan-date-put-back", args=[moved.pk]))
    assert not MovedDate.objects.exists()


def test_a_visit_is_moved_and_called_off(browser: Browser, visit: Visit) -> None:
    browser.post(reverse("visit-move", args=[visit.pk]), {"starts_at": "2099-01-20T10:00", "minutes": "45"})
    visit.refresh_from_db()
    assert (visit.starts_at.day, visit.planned_minutes, visit.tech) == (20, 45, None)
    assert browser.post(reverse("visit-call-off", args=[visit.pk]), {"reason": " "}).status_code == 422
    browser.post(reverse("visit-call-off", args=[visit.pk]), {"reason": "Snow"})
    visit.refresh_from_db()
    assert visit.called_off_because == "Snow"


def test_the_month_shows_visits_dates_and_holidays(browser: Browser, visit: Visit, holiday: Holiday) -> None:
    january = browser.get(reverse("visits"), {"month": "2099-01"})
    assert "09:00 North Hall : Monthly check, tech scheduled" in text_of(january)
    may = text_of(browser.get(reverse("visits"), {"month": "2099-05"}))
    assert "Spring Day" in may
    assert "not scheduled" in may
    for odd in ("2099-13", "0000-01", "soon", "99999-01"):
        assert browser.get(reverse("visits"), {"month": odd}).status_code == 200


@pytest.mark.parametrize(
    "state", ["due", "soon", "overdue", "scheduled", "begun", "closed", "called off"]
)  # fmt: skip
def test_visits_are_filtered_by_state(browser: Browser, visit: Visit, site: Site, tech: User, state: str) -> None:
    query = {"state": state, "site": site.pk, "tech": tech.pk, "client": site.client_id}
    page = browser.get(reverse("visits"), query)
    assert len(page.context["listing"].rows) == (1 if state == "scheduled" else 0)


def test_what_is_overdue_stands_on_the_first_page_and_at_the_site(browser: Browser, site: Site, tech: User) -> None:
    plan = plan_at(site, tech)
    day = timezone.localdate() - timedelta(days=3)
    VisitPlan.objects.filter(pk=plan.pk).update(rule="FREQ=YEARLY", starts_on=day)
    assert "overdue since" in text_of(browser.get(reverse("today")))
    assert "1 visit due, 1 of them overdue" in answer_of(browser.get(reverse("today")))
    assert "Overdue since" in text_of(browser.get(reverse("site", args=[site.code])))
    assert answer_of(browser.get(reverse("visits"))) == "Planned visits: 1 overdue; 1 of them not scheduled yet."


def test_hours_are_kept_by_weekday(browser: Browser, site: Site) -> None:
    address = reverse("site-hours", args=[site.code])
    assert browser.post(address, {"opens_0": "08:00"}).status_code == 422
    assert browser.post(address, {"opens_0": "08:00", "closes_0": "07:00"}).status_code == 422
    browser.post(address, {"opens_0": "08:00", "closes_0": "17:00", "opens_4": "09:00", "closes_4": "12:00"})
    browser.post(address, {"opens_0": "08:00", "closes_0": "17:30"})
    assert [(row.weekday, f"{row.closes:%H:%M}") for row in SiteHours.objects.all()] == [(0, "17:30")]


def test_a_holiday_is_noted_once_and_taken_away(browser: Browser, site: Site) -> None:
    given = {"day": "2099-05-01", "name": "Spring Day", "site": ""}
    assert browser.post(reverse("holidays"), given).status_code == 302
    assert browser.post(reverse("holidays"), given).status_code == 422
    browser.post(reverse("holiday-remove", args=[Holiday.objects.get().pk]))
    assert not Holiday.objects.exists()


def test_the_calendar_address_is_shown_once_and_can_be_revoked(browser: Browser, visit: Visit) -> None:
    page = browser.post(reverse("calendar-feeds"), {"name": "My phone"})
    address = page.context["address"]
    secret = address.rsplit("/", 1)[1]
    assert secret not in browser.get(reverse("calendar-feeds")).content.decode()
    assert "no-store" in page.headers["Cache-Control"]
    anonymous = Browser()
    assert vobject.readOne(anonymous.get(address).content.decode()).vevent.summary.value == "Monthly check, North Hall"
    browser.post(reverse("calendar-feed-revoke", args=[page.context["feeds"][0].pk]))
    assert anonymous.get(address).status_code == 404


def test_the_calendar_file_changes_only_when_a_visit_does(visit: Visit, tech: User, feed: MadeFeed) -> None:
    address, browser = reverse("calendar-feed", args=[feed.secret]), Browser()
    first = browser.get(address)
    again = browser.get(address, headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    move_visit(by=tech, visit=visit, starts_at=visit.starts_at + timedelta(hours=1), minutes=60, tech=tech)
    second = browser.get(address, headers={"If-None-Match": first.headers["ETag"]})
    before, after = (vobject.readOne(answer.content.decode()).vevent for answer in (first, second))
    assert (before.uid.value, int(before.sequence.value) + 1) == (after.uid.value, int(after.sequence.value))
    call_off_visit(by=tech, visit=visit, reason="Snow")
    assert vobject.readOne(browser.get(address).content.decode()).vevent.status.value == "CANCELLED"


def test_nothing_that_opens_a_door_stands_in_the_calendar(visit: Visit, site: Site, feed: MadeFeed) -> None:
    Site.objects.filter(pk=site.pk).update(access_notes="Key under the mat", address="1 Mill Lane")
    content = Browser().get(reverse("calendar-feed", args=[feed.secret])).content.decode()
    assert not [word for word in ("mat", "Mill Lane", "Snow", site.client.name) if word in content]


def test_who_left_has_no_calendar(visit: Visit, tech: User, feed: MadeFeed) -> None:
    User.objects.filter(pk=tech.pk).update(is_active=False)
    assert Browser().get(reverse("calendar-feed", args=[feed.secret])).status_code == 404


@pytest.mark.parametrize("route", ["visits", "visit-plan", "today", "site", "calendar-feed", "holidays"])
def test_pages_cost_the_same_queries_with_more_of_everything(
    route: str, browser: Browser, plan: VisitPlan, visit: Visit, site: Site, tech: User, feed: MadeFeed
) -> None:
    args = {"visit-plan": [plan.pk], "site": [site.code], "calendar-feed": [feed.secret]}.get(route, [])
    address = reverse(route, args=args)
    before = queries_of(browser, address)
    for number in range(2):
        other = SiteFactory(client=site.client) if route != "site" else site
        visit_at(other, tech, plan_at(other, tech, f"Plan {number}"))
    assert queries_of(browser, address) == before


def test_a_client_s_page_lists_the_plans_that_go_on(
    browser: Browser, site: Site, tech: User, owner: User, sign_in: SignIn
) -> None:
    address = reverse("client", args=[site.client_id])
    assert "No visit comes due by itself." in text_of(browser.get(address))
    plan_at(site, tech, name="Quarterly check")
    end_plan(by=tech, plan=plan_at(site, tech, name="Old check"))
    for reader in (browser, sign_in(owner)):
        page = text_of(reader.get(address))
        assert f"Quarterly check at North Hall, usually {tech}" in page
        assert "Old check" not in page
