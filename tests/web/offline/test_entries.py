"""Entries from a phone: every kind lands once with its own time, whatever is sent twice; nothing is overwritten."""

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Zone
from registry.baselines.models import Reading, Restore, RestoreStep
from registry.baselines.restoring import record_step
from registry.demo.factories import UserFactory
from registry.planning.models import LineMeasurement
from registry.visits.finding import add_finding
from registry.visits.models import Finding, PartUsed, Visit, VisitPhoto
from registry.visits.working import record_task
from registry.web.offline.kinds import KINDS
from sites.models import Receipt, Role, User
from sites.photos import MOST_BYTES
from sites.versions import version_of
from tests.visits.visit_work import FINDING, LEVEL, picture, visit_with_tasks
from tests.web.conftest import SignIn
from tests.web.offline.conftest import Phone

TYPED = {"level_db": "62.5", "background_db": "45", "dial": "50", "meter": "Meter A", "meter_class": "2"}
SEEN = {"says": "LS-1A rattles", "severity": "degraded", "follow_up": "next visit"}
STEP = "zone:Hall 1:dial"


class Case:
    """One kind: the entry, what it may carry, and what there is when it was taken."""

    def __init__(self, make: Callable[[Any], dict[str, Any]], count: Callable[[], Any], when: str = "") -> None:
        self.make, self.count, self.when = make, count, when


def task(visit: Visit, kind: str) -> int:
    return visit.tasks.get(kind=kind).pk


CASES = {
    "visit-begin": Case(lambda it: it.entry("visit-begin", it.planned.pk), Visit.objects.filter(begun_at=None).count),
    "visit-task": Case(
        lambda it: it.entry("visit-task", it.visit.pk, task(it.visit, "controls"), found="80 %", result="wrong"),
        lambda: Visit.tasks.rel.related_model.objects.filter(result="wrong"),
        "done_at",
    ),
    "visit-level": Case(
        lambda it: it.entry("visit-level", it.visit.pk, task(it.visit, "levels"), state="as found", **TYPED),
        lambda: Reading.objects.filter(level_db=62.5),
        "taken_at",
    ),
    "visit-impedance": Case(
        lambda it: it.entry(
            "visit-impedance", it.visit.pk, task(it.visit, "impedance"), impedance_ohm="4.1", frequency_hz="1000"
        ),
        LineMeasurement.objects.all,
        "taken_at",
    ),
    "visit-photo-new": Case(
        lambda it: it.entry("visit-photo-new", it.visit.pk, caption="The rack"), VisitPhoto.objects.all, "taken_at"
    ),
    "visit-part-new": Case(
        lambda it: it.entry("visit-part-new", it.visit.pk, what="Fuse 3 A", quantity=2), PartUsed.objects.all, "used_at"
    ),
    "visit-finding-new": Case(
        lambda it: it.entry("visit-finding-new", it.visit.pk, **SEEN),
        Finding.objects.filter(visit__isnull=False).all,
        "found_at",
    ),
    "finding-new": Case(
        lambda it: it.entry("finding-new", it.visit.site.code, **SEEN),
        Finding.objects.filter(says="LS-1A rattles", visit=None, closed_at=None).all,
        "found_at",
    ),
    "finding-close": Case(
        lambda it: it.entry("finding-close", it.finding.pk, done="Clamp tightened"),
        Finding.objects.filter(closed_at__isnull=False).all,
        "closed_at",
    ),
    "reading-new": Case(
        lambda it: it.entry("reading-new", it.zone.pk, state="as found", taken_at="", **TYPED),
        lambda: Reading.objects.filter(level_db=62.5),
        "taken_at",
    ),
    "restore-step": Case(
        lambda it: it.entry("restore-step", it.restore.pk, key=STEP, seen="", answer="set", found="80 %"),
        RestoreStep.objects.all,
        "changed_at",
    ),
    "restore-group": Case(
        lambda it: it.entry("restore-group", it.restore.pk, subject="zone", name="Hall 1"),
        RestoreStep.objects.filter(key=STEP).all,
        "changed_at",
    ),
    "restore-reading": Case(
        lambda it: it.entry("restore-reading", it.restore.pk, zone=it.zone.pk, state="as left", spot="P1", **TYPED),
        lambda: Reading.objects.filter(level_db=62.5, restore=it_restore()),
        "taken_at",
    ),
}


def it_restore() -> Restore:
    return Restore.objects.get()


@pytest.fixture
def it(phone: Phone, visit: Visit, restore: Restore, zone: Zone, tech: User, line: Any) -> Phone:
    phone.visit, phone.restore, phone.zone = visit, restore, zone  # type: ignore[attr-defined]
    phone.planned = visit_with_tasks(line)  # type: ignore[attr-defined]
    phone.finding = add_finding(by=tech, site=zone.site, values=FINDING | {"says": "Cover loose"})  # type: ignore[attr-defined]
    return phone


def files_for(name: str) -> dict[str, Any]:
    return {"photo": SimpleUploadedFile("p.jpg", picture())} if name == "visit-photo-new" else {}


def test_every_kind_is_in_the_table() -> None:
    assert CASES.keys() == KINDS.keys()


@pytest.mark.parametrize("name", CASES)
def test_every_kind_is_done_once_and_with_its_own_time(name: str, it: Phone) -> None:
    case = CASES[name]
    entry = case.make(it)
    entry["at"] = at = (timezone.now() - timedelta(minutes=4)).isoformat(timespec="milliseconds")
    assert it.send(entry, **files_for(name))[0] == 201
    status, answer = it.send(entry, **files_for(name))
    assert (status, answer["answer"]) == (200, "already accepted")
    assert Receipt.objects.count() == 1
    if case.when:
        (row,) = case.count()
        assert getattr(row, case.when).isoformat(timespec="milliseconds") == at
    else:
        assert case.count() == 0


def test_a_key_that_comes_back_with_other_content_is_refused(it: Phone) -> None:
    entry = CASES["visit-level"].make(it)
    assert it.send(entry)[0] == 201
    status, answer = it.send(entry | {"fields": [*entry["fields"], ["track", "another"]]})
    assert (status, answer["answer"]) == (422, "refused")
    assert "used for something else" in answer["why"]
    assert Reading.objects.filter(level_db=62.5).count() == 1


def test_what_is_refused_leaves_nothing_and_may_be_sent_again_when_edited(it: Phone) -> None:
    entry = it.entry(
        "visit-level", it.visit.pk, task(it.visit, "levels"), state="as found", **TYPED | {"level_db": "x"}
    )  # type: ignore[attr-defined]
    status, answer = it.send(entry)
    assert status == 422
    assert "level_db" in answer["problems"]
    assert not Receipt.objects.exists()
    typed = [[name, "62.5" if name == "level_db" else value] for name, value in entry["fields"]]
    assert it.send(entry | {"fields": typed})[0] == 201


def test_the_time_of_a_phone_that_is_ahead_is_refused(it: Phone) -> None:
    for name in ("visit-level", "restore-reading", "reading-new"):
        entry = CASES[name].make(it) | {"at": (timezone.now() + timedelta(minutes=6)).isoformat()}
        status, answer = it.send(entry)
        assert (status, answer["answer"]) == (422, "refused"), name
        assert "in the future" in answer["why"], name
    assert not Receipt.objects.exists()


def test_a_task_that_somebody_answered_meanwhile_is_a_conflict_and_stays(it: Phone) -> None:
    row = it.visit.tasks.get(kind="controls")  # type: ignore[attr-defined]
    seen = version_of(row)
    record_task(by=UserFactory(role=Role.TECH, username="robin"), task=row, found="70 %", result="done")
    entry = it.entry("visit-task", row.visit_id, row.pk, version=seen, found="80 %", result="wrong")
    status, answer = it.send(entry)
    assert (status, answer["answer"]) == (409, "conflict")
    assert {(each["new"], each["by"]) for each in answer["changes"]} >= {("70 %", "robin")}
    row.refresh_from_db()
    assert row.found == "70 %"
    anew = it.entry("visit-task", row.visit_id, row.pk, version=answer["version"], found="80 %", result="wrong")
    assert it.send(anew)[0] == 201
    row.refresh_from_db()
    assert row.found == "80 %"


def test_a_step_that_somebody_answered_meanwhile_is_a_conflict(it: Phone) -> None:
    other = UserFactory(role=Role.TECH, username="robin")
    record_step(by=other, restore=it.restore, key=STEP, could_not="locked")  # type: ignore[attr-defined]
    entry = CASES["restore-step"].make(it)
    status, answer = it.send(entry)
    assert (status, answer["answer"]) == (409, "conflict")
    assert "locked" in answer["changes"][0]["new"]
    typed = {"key": STEP, "seen": answer["version"], "answer": "set", "found": "80 %"}
    anew = it.entry("restore-step", it.restore.pk, at=timezone.now(), **typed)  # type: ignore[attr-defined]
    assert it.send(anew)[0] == 201


def test_the_next_answer_of_the_same_copy_goes_on_from_the_first(it: Phone) -> None:
    row = it.visit.tasks.get(kind="controls")  # type: ignore[attr-defined]
    seen = version_of(row)
    first = it.entry("visit-task", row.visit_id, row.pk, version=seen, found="80 %", result="")
    status, answer = it.send(first)
    assert status == 201
    assert answer["version"] != seen
    second = it.entry("visit-task", row.visit_id, row.pk, version=answer["version"], found="80 %", result="wrong")
    assert it.send(second)[0] == 201
    # The version that the phone moved on is no other content.
    assert it.send(second | {"fields": [["version", "7"], *second["fields"][1:]]})[1]["answer"] == "already accepted"


def test_another_person_cannot_send_it_and_a_reader_or_stranger_writes_nothing(
    it: Phone, owner: User, stranger: User, sign_in: SignIn
) -> None:
    entry = CASES["finding-new"].make(it)
    before = Finding.objects.count()
    assert Phone(sign_in(owner), owner).send(entry)[0] == 403
    for reader in (owner, stranger):
        status, answer = Phone(sign_in(reader), reader).send(entry | {"person": reader.pk})
        assert (status, answer["answer"]) == (422, "refused")
    assert Finding.objects.count() == before


def test_signed_out_it_leads_to_the_door_and_without_token_nothing_is_taken(it: Phone, tech: User) -> None:
    entry = {"entry": json.dumps(CASES["finding-new"].make(it))}
    before = Finding.objects.count()
    assert Browser().post(reverse("phone-entries"), entry).headers["Location"].startswith(reverse("sign-in"))
    guarded = Browser(enforce_csrf_checks=True)
    guarded.force_login(tech)
    assert guarded.post(reverse("phone-entries"), entry).status_code == 403
    token = guarded.get(reverse("phone-state")).json()["csrf"]
    assert guarded.post(reverse("phone-entries"), entry, headers={"X-CSRFToken": token}).status_code == 201
    assert Finding.objects.count() == before + 1


@pytest.mark.parametrize(
    "wrong",
    [
        "",
        "[]",
        '{"key": 1}',
        {"key": "no-uuid"},
        {"at": "yesterday"},
        {"at": "2026-01-01T10:00:00"},
        {"person": None},
        {"fields": [["a"]]},
        {"address": "/sites/north-hall/edit/"},
        {"address": "/nowhere/"},
    ],
    ids=str,
)
def test_what_is_no_entry_is_refused_with_words(wrong: Any, it: Phone) -> None:
    entry = CASES["visit-level"].make(it)
    sent = wrong if isinstance(wrong, str) else json.dumps(entry | wrong)
    response = it.browser.post(reverse("phone-entries"), {"entry": sent})
    assert response.status_code in {400, 422}
    assert response.json()["answer"] == "refused"
    assert response.json()["why"]
    assert not Reading.objects.filter(level_db=LEVEL["level_db"]).exists()


def test_a_time_before_the_restore_or_a_photo_that_is_too_large_is_refused(it: Phone) -> None:
    for name in ("restore-step", "restore-group", "restore-reading"):
        entry = CASES[name].make(it) | {"at": (timezone.now() - timedelta(days=1)).isoformat()}
        status, answer = it.send(entry)
        assert status == 422, name
        assert "before this restore was started" in answer["why"], name
    entry = CASES["visit-photo-new"].make(it)
    status, answer = it.send(entry, photo=SimpleUploadedFile("p.jpg", bytes(MOST_BYTES + 1)))
    assert status == 422
    assert "at most 10 MB" in answer["why"]
    assert not Receipt.objects.exists()
