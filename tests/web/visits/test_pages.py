"""The checklist: a task opens in place, saves one by one, keeps what was typed when it is refused."""

import io
from datetime import timedelta

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Line
from registry.visits.models import Finding, PartUsed, TaskKind, Visit, VisitTask
from registry.visits.working import record_task
from sites.models import User, YesNoUnknown
from sites.versions import version_of
from tests.visits.visit_work import picture, visit_with_tasks
from tests.web.pages import answer_of, queries_of, text_of

PART = {"HTTP_HX_REQUEST": "true"}


def _task(visit: Visit, kind: TaskKind) -> VisitTask:
    return visit.tasks.get(kind=kind)


def _address(name: str, visit: Visit, kind: TaskKind) -> str:
    return reverse(name, args=[visit.pk, _task(visit, kind).pk])


def test_the_page_begins_with_how_far_it_is(visit: Visit, browser: Browser, tech: User) -> None:
    page = reverse("visit", args=[visit.pk])
    assert answer_of(browser.get(page)) == "0 of 4 tasks, no findings."
    browser.post(_address("visit-task", visit, TaskKind.CONTROLS), {"found": "30 %", "left": "50 %", "result": "done"})
    assert answer_of(browser.get(page)) == "1 of 4 tasks, no findings."


def test_a_task_saves_in_place_with_htmx_and_leads_back_without(visit: Visit, browser: Browser) -> None:
    task = _task(visit, TaskKind.FIXINGS)
    address = _address("visit-task", visit, TaskKind.FIXINGS)
    opened = browser.get(address, **PART).content.decode()  # type: ignore[arg-type]
    assert "<html" not in opened and "sound ladder" not in opened and f'id="task-{task.pk}"' in opened
    assert "sound ladder" in text_of(browser.get(address))
    saved = browser.post(address, {"result": "done"}, **PART)  # type: ignore[arg-type]
    assert "1 of 4 tasks" in text_of(saved) and "In order" in text_of(saved)
    plain = browser.post(address, {"result": "not done", "why_not": "no ladder"})
    assert plain.headers["Location"] == f"{reverse('visit', args=[visit.pk])}#task-{task.pk}"


def test_what_is_refused_keeps_what_was_typed(visit: Visit, browser: Browser) -> None:
    response = browser.post(
        _address("visit-task", visit, TaskKind.CONTROLS), {"found": "at the stop", "result": "not done"}
    )
    assert response.status_code == 422
    assert "at the stop" in response.content.decode() and "Say why it was not done" in text_of(response)
    assert _task(visit, TaskKind.CONTROLS).found == ""


def test_of_two_techs_the_second_sees_what_the_first_saved(visit: Visit, browser: Browser, tech: User) -> None:
    task = _task(visit, TaskKind.CONTROLS)
    seen = version_of(task)
    record_task(by=tech, task=task, found="30 %", result="wrong")
    sent = {"found": "40 %", "result": "done", "version": seen}
    response = browser.post(_address("visit-task", visit, TaskKind.CONTROLS), sent)
    assert response.status_code == 409
    assert "30 %" in text_of(response) and _task(visit, TaskKind.CONTROLS).found == "30 %"


def test_a_level_is_judged_at_once_and_then_the_task_is_answered(visit: Visit, browser: Browser) -> None:
    address = _address("visit-level", visit, TaskKind.LEVELS)
    refused = browser.post(address, {"level_db": "loud", "state": "as found"})
    assert refused.status_code == 422 and 'value="loud"' in refused.content.decode()
    browser.post(address, {"level_db": "66", "dial": "70", "meter": "Meter A", "state": "as found"})
    browser.post(address, {"level_db": "61", "dial": "50", "meter": "Meter A", "state": "as left"})
    shown = text_of(browser.get(_address("visit-task", visit, TaskKind.LEVELS)))
    assert "66.0 dB(A)" in shown and "61.0 dB(A)" in shown and "Record as found" not in shown
    browser.post(_address("visit-task", visit, TaskKind.LEVELS), {"result": "done"})
    assert _task(visit, TaskKind.LEVELS).result == "done"


def test_an_impedance_shows_what_is_expected_and_what_would_explain_it(visit: Visit, browser: Browser) -> None:
    page = text_of(browser.get(_address("visit-task", visit, TaskKind.IMPEDANCE)))
    assert "Expected 4." in page and "not answered" in page
    assert page.count("off its terminals") == page.count("computed for the line") == 1
    measured = {"impedance_ohm": "8.4", "frequency_hz": "1000"}
    told = text_of(browser.post(_address("visit-impedance", visit, TaskKind.IMPEDANCE), measured, **PART))  # type: ignore[arg-type]
    assert "Answered by" in told and "not answered" not in told
    page = text_of(browser.get(_address("visit-task", visit, TaskKind.IMPEDANCE)))
    assert "1 of 2 loudspeakers lost" in page and "1 of 4 tasks" in page  # what htmx brings up to date stands here too


def test_near_life_safety_a_line_offers_no_measurement(visit: Visit, line: Line, browser: Browser) -> None:
    line.life_safety = YesNoUnknown.UNKNOWN
    line.save()
    page = text_of(browser.get(_address("visit-task", visit, TaskKind.IMPEDANCE)))
    assert "Not to be altered." in page and "No continuity" not in page and "In order" not in page


def test_findings_photos_parts_and_the_end(visit: Visit, browser: Browser) -> None:
    new = reverse("visit-finding-new", args=[visit.pk])
    prefilled = browser.get(f"{new}?task={_task(visit, TaskKind.CONTROLS).pk}").content.decode()
    assert "selected" in prefilled
    sent = {"says": "It hums", "severity": "degraded", "follow_up": "next visit"}
    assert browser.post(new, sent | {"severity": "awful"}).status_code == 422
    browser.post(new, sent)
    finding = Finding.objects.get()
    photo = io.BytesIO(picture())
    photo.name = "x.jpg"
    browser.post(reverse("visit-photo-new", args=[visit.pk]), {"photo": photo, "caption": "Hum", "finding": finding.pk})
    assert finding.photos.get().caption == "Hum"
    browser.post(reverse("visit-part-new", args=[visit.pk]), {"what": "Fuse", "quantity": "1"})
    browser.post(reverse("part-correct", args=[PartUsed.objects.get().pk]), {"what": "Fuse", "quantity": "3"})
    close = reverse("visit-close", args=[visit.pk])
    end = {"outcome": "done", "result": "It hums.", "signature": "A. Tech", "minutes": "30"}
    refused = browser.post(close, end)
    assert refused.status_code == 422 and "Ceiling fixings" in text_of(refused)
    browser.post(close, end | {"outcome": "exceptions", "why_not": "no time"})
    page = text_of(browser.get(reverse("visit", args=[visit.pk])))
    assert "Done with exceptions: It hums." in page and "3 × Fuse" in page and "Close and sign" not in page


def test_as_left_is_open_to_be_recorded_after_a_level_that_is_not_known_to_be_right(
    visit: Visit, browser: Browser
) -> None:
    address = _address("visit-level", visit, TaskKind.LEVELS)
    browser.post(address, {"level_db": "66", "dial": "70", "meter": "Meter A", "state": "as found"})
    shown = browser.get(_address("visit-task", visit, TaskKind.LEVELS)).content.decode()
    assert "<details open><summary>Record as left, or read again as found" in shown


def test_a_visit_whose_day_has_passed_says_so_until_it_is_begun(line: Line, browser: Browser) -> None:
    waiting = visit_with_tasks(line)
    page = reverse("visit", args=[waiting.pk])
    Visit.objects.filter(pk=waiting.pk).update(starts_at=timezone.now() + timedelta(days=1))
    assert "This day has passed" not in text_of(browser.get(page))
    Visit.objects.filter(pk=waiting.pk).update(starts_at=timezone.now() - timedelta(days=2))
    assert "This day has passed" in text_of(browser.get(page))
    browser.post(reverse("visit-begin", args=[waiting.pk]))
    assert "This day has passed" not in text_of(browser.get(page))


def test_what_a_field_refuses_is_said_in_plain_words(visit: Visit, browser: Browser) -> None:
    response = browser.post(reverse("visit-part-new", args=[visit.pk]), {"what": "", "quantity": "-1"})
    assert "Fill this in." in text_of(response) and "Give 0 or more." in text_of(response)


def test_begin_is_one_tap(line: Line, browser: Browser) -> None:
    waiting = visit_with_tasks(line)
    page = reverse("visit", args=[waiting.pk])
    assert "Begin this visit" in text_of(browser.get(page))
    browser.post(reverse("visit-begin", args=[waiting.pk]))
    assert "Begin this visit" not in text_of(browser.get(page))


@pytest.mark.parametrize("query", ["", "?state=open", "?severity=hazardous&sort=-severity", "?export=csv"])
def test_the_list_of_findings_filters_sorts_and_exports(query: str, closed: Visit, browser: Browser) -> None:
    response = browser.get(f"{reverse('findings')}{query}")
    said = b"".join(response.streaming_content).decode() if response.streaming else text_of(response)  # type: ignore[attr-defined]
    assert ("LS-1A rattles" in said) == ("hazardous" not in query)
    assert "Cover hangs loose" in said


def test_queries_stay_the_same_with_one_row_and_with_three(visit: Visit, closed: Visit, browser: Browser) -> None:
    pages = [
        reverse("visit", args=[visit.pk]),
        _address("visit-task", visit, TaskKind.CONTROLS),
        reverse("findings"),
        reverse("visit-report", args=[closed.pk]),
        reverse("visit", args=[closed.pk]),
    ]

    def one_more() -> None:
        for each in (visit, closed):
            VisitTask.objects.create(visit=each, kind=TaskKind.CABLES, note="roof", zone=each.site.zones.first())
            kept = {"severity": "down", "says": "Silent", "follow_up": "planned"}
            Finding.objects.create(
                site=each.site,
                visit=each,
                found_by=each.begun_by,
                found_at=timezone.now(),
                line=each.site.lines.first(),
                **kept,
            )

    one_more()
    before = [queries_of(browser, page) for page in pages]
    one_more()
    one_more()
    assert [queries_of(browser, page) for page in pages] == before
