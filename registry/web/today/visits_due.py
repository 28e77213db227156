"""Visits that are due or overdue and findings that are open, for the first page."""

from django.urls import reverse
from django.utils import timezone

from registry.visits.due import Standing, State
from registry.visits.models import Finding
from registry.visits.queries import findings_visible_to
from registry.visits.standing_now import standings_seen_by
from registry.web.sites.sentences import number_of
from registry.web.today.concern import SHOWN, Asked, Concern, Row
from registry.web.visits.finding_list import GRAVEST_FIRST
from sites.models import User

WORDS = {State.OVERDUE: "overdue", State.DUE: "due"}


def visits_due(user: User) -> list[Concern]:
    """Return the plans whose next visit is overdue, or due within a week; no concern where there is none."""
    today = timezone.localdate()
    found = [each for _, each in standings_seen_by(user, today) if each.state in WORDS]
    found.sort(key=lambda each: (str(each.day), each.site.name))
    overdue = sum(each.state == State.OVERDUE for each in found)
    short = f"{number_of(len(found), 'visit')} due" + (f", {overdue} of them overdue" if overdue else "")
    rows = [_row(each) for each in found[:SHOWN]]
    return [Concern("Visits due and overdue", short, len(found), rows, reverse("visits"))] if found else []


def _row(each: Standing) -> Row:
    assert each.day is not None and each.state is not None
    day = f"{each.day.day} {each.day:%b}"
    scheduled = f"scheduled, {each.visit.tech or 'nobody goes yet'}" if each.visit else "not scheduled"
    word = f"overdue since {day}" if each.state == State.OVERDUE else f"due on {day}"
    page = reverse("visit", args=[each.visit.pk]) if each.visit else reverse("visit-plan", args=[each.plan.pk])
    return Row(each.plan.name, page, each.site, f"{word}, {scheduled}")


def open_findings(user: User) -> Asked:
    """Return the findings that are open, the gravest first."""
    rows = findings_visible_to(user).filter(closed_at__isnull=True).annotate(gravity=GRAVEST_FIRST)
    return Asked(
        heading="Open findings",
        short=lambda numbers: number_of(numbers["findings"], "open finding"),
        rows=rows.order_by("gravity", "-found_at", "-pk"),
        as_row=lambda finding: Row(str(finding), reverse("finding", args=[finding.pk]), finding.site, _why(finding)),
        all_href=f"{reverse('findings')}?state=open",
    )


def _why(finding: Finding) -> str:
    due = f", due {finding.due_on.day} {finding.due_on:%b}" if finding.due_on else ""
    return f"{finding.get_severity_display().lower()}, {finding.get_follow_up_display().lower()}{due}"
