"""Calls are taken, corrected, closed once and then stay; what two people do at once is told to the second."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.models import Reading
from registry.demo.factories import SiteFactory, ZoneFactory
from registry.planning.models import LineMeasurement
from registry.visits.call_work import measure_for_call, read_for_call, send_visit
from registry.visits.calling import answer_call, close_call, edit_call, note_call, say, take_call, unsay
from registry.visits.closing import close_visit
from registry.visits.models import CallNote, Outcome, ServiceCall, TaskKind, VisitKind
from registry.visits.proving import proofs, untested_replacements
from registry.visits.queries import calls_visible_to
from registry.visits.reading import record_visit_reading
from registry.visits.repeats import call_figures, earlier_calls
from registry.visits.sayings import Said, said_in
from registry.visits.scheduling import call_off_visit
from registry.visits.working import record_task
from sites.facts import FactIsFixedError
from sites.models import User
from sites.put import RefusedError
from sites.versions import ChangedMeanwhileError, version_of
from tests.visits.calls import ENDED
from tests.visits.visit_work import LEVEL, OHM

TOLD = {"caller": "Bar staff", "phone": "01632 960100", "says": "No music", "since": "today", "changed": "power cut"}


@pytest.fixture
def call(zone: Zone, tech: User) -> ServiceCall:
    return take_call(by=tech, site=zone.site, values=TOLD, zones=[zone])


def refused(error: pytest.ExceptionInfo[RefusedError]) -> set[str]:
    return {problem.field for problem in error.value.problems}


def test_a_call_is_taken_with_what_is_said(zone: Zone, tech: User) -> None:
    said = [Said("silent", zone=zone.name), Said("as usual", loudspeaker="LS-1A")]
    call = take_call(by=tech, site=zone.site, values=TOLD, zones=[zone], said=said, answered_at=timezone.now())
    call.refresh_from_db()
    assert said_in(call.symptoms) == tuple(said)
    assert list(call.zones.all()) == [zone] and call.is_open and call.answered_at is not None
    assert call.history.get(history_type="+").history_user == tech


def test_what_makes_no_sense_is_refused_and_nothing_is_kept(zone: Zone, tech: User) -> None:
    def take(**changed: object) -> ServiceCall:
        return take_call(**({"by": tech, "site": zone.site, "values": TOLD} | changed))  # type: ignore[arg-type]

    with pytest.raises(RefusedError) as error:
        take(values=TOLD | {"says": "  "})
    assert refused(error) == {"says"}
    with pytest.raises(RefusedError) as error:
        take(values=TOLD | {"says": "The alarm code is 4711, password: Summer2026!"})
    assert refused(error) == {"says"}
    with pytest.raises(RefusedError) as error:
        take(zones=[ZoneFactory(site=SiteFactory())])
    assert refused(error) == {"zones"}
    with pytest.raises(RefusedError) as error:
        take(said=[Said("silent", zone="Nowhere")])
    assert refused(error) == {"where"}
    with pytest.raises(RefusedError):
        take(said=[Said("on fire", zone=zone.name)])
    with pytest.raises(ValueError, match="in the future"):
        take(called_at=timezone.now() + timedelta(hours=1))
    assert not ServiceCall.objects.exists()


def test_of_a_place_the_last_word_counts(call: ServiceCall, tech: User, other: User) -> None:
    say(by=tech, call=call, said=Said("quieter", zone="Hall 1"))
    say(by=other, call=call, said=Said("silent", loudspeaker="LS-1B"))
    say(by=other, call=call, said=Said("silent", zone="Hall 1"))
    call.refresh_from_db()
    assert set(said_in(call.symptoms)) == {Said("silent", zone="Hall 1"), Said("silent", loudspeaker="LS-1B")}
    rows = call.history.count()
    say(by=tech, call=call, said=Said("silent", zone="Hall 1"))
    unsay(by=tech, call=call, said=Said("louder", zone="Hall 1"))
    assert call.history.count() == rows
    unsay(by=tech, call=call, said=Said("silent", zone="Hall 1"))
    call.refresh_from_db()
    assert said_in(call.symptoms) == (Said("silent", loudspeaker="LS-1B"),)


def test_two_people_who_correct_the_same_words_are_told(call: ServiceCall, tech: User, other: User) -> None:
    version = version_of(call)
    edit_call(by=tech, call=call, values=TOLD | {"since": "yesterday"}, zones=[], version=version)
    with pytest.raises(ChangedMeanwhileError, match="tech"):
        edit_call(by=other, call=call, values=TOLD | {"since": "Sunday"}, zones=[], version=version)
    call.refresh_from_db()
    assert call.since == "yesterday" and not call.zones.exists()


def test_the_first_answer_counts_and_none_before_the_call(call: ServiceCall, tech: User) -> None:
    with pytest.raises(RefusedError):
        answer_call(by=tech, call=call, at=call.called_at - timedelta(minutes=1))
    first = answer_call(by=tech, call=call).answered_at
    assert answer_call(by=tech, call=call, at=timezone.now()).answered_at == first


def test_a_call_solved_by_phone_closes_without_a_visit_and_then_stays(
    call: ServiceCall, zone: Zone, line: Line, tech: User, other: User
) -> None:
    with pytest.raises(RefusedError) as error:
        close_call(by=tech, call=call, values={})
    assert refused(error) == {"was", "mechanism", "cause", "caused_by", "record_would_have_saved"}
    early = call.called_at - timedelta(minutes=1)
    with pytest.raises(RefusedError) as error:
        close_call(by=tech, call=call, values=ENDED | {"restored_at": early})
    assert refused(error) == {"restored_at"}
    closed = close_call(by=tech, call=call, values=ENDED | {"restored_at": timezone.now()})
    assert closed.closed_by == tech and closed.visit is None and closed.answered_at is not None
    before = closed.history.count()
    said = Said("silent", zone=zone.name)
    writes = [
        lambda: close_call(by=other, call=call, values=ENDED | {"was": "Something else."}),
        lambda: edit_call(by=other, call=call, values=TOLD, zones=[]),
        lambda: say(by=other, call=call, said=said),
        lambda: unsay(by=other, call=call, said=said),
        lambda: answer_call(by=other, call=call),
        lambda: send_visit(by=other, call=call, starts_at=timezone.now()),
        lambda: read_for_call(by=other, call=call, zone=zone, values=LEVEL),
        lambda: measure_for_call(by=other, call=call, line=line, values=OHM),
    ]
    for write in writes:
        with pytest.raises(ValueError, match=r"tech closed this call on .*: it stays as it is, add a note instead"):
            write()
    assert closed.history.count() == before
    assert not Reading.objects.exists() and not LineMeasurement.objects.exists()


def test_a_note_is_added_at_any_time_and_stays(call: ServiceCall, tech: User) -> None:
    close_call(by=tech, call=call, values=ENDED)
    note = note_call(by=tech, call=call, says=" They rang again: all is well. ")
    assert note.says == "They rang again: all is well."
    note.says = "Something else"
    with pytest.raises(FactIsFixedError):
        note.save()
    for wrong in (" ", "x" * 2001, "password: Summer2026!"):
        with pytest.raises(RefusedError):
            note_call(by=tech, call=call, says=wrong)
    assert CallNote.objects.count() == 1


def test_the_database_keeps_a_closed_call_that_says_nothing_out(call: ServiceCall) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        ServiceCall.objects.filter(pk=call.pk).update(closed_at=timezone.now())


def test_from_the_call_to_the_proof(call: ServiceCall, zone: Zone, tech: User) -> None:
    visit = send_visit(by=tech, call=call, starts_at=timezone.now(), tech=tech, begin=True)
    assert (visit.kind, visit.begun_by) == (VisitKind.CALL, tech)
    task = visit.tasks.get(kind=TaskKind.LEVELS, zone=zone)
    assert send_visit(by=tech, call=call, starts_at=timezone.now()) == visit
    call.refresh_from_db()
    reading = read_for_call(by=tech, call=call, zone=zone, values=LEVEL)
    assert reading.visitreading.visit == visit and reading.state == "as found"
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as left", values=LEVEL | {"level_db": 60.0})
    (proof,) = proofs(call, None, [zone])
    assert proof.found is not None and proof.left is not None and proof.last is proof.left
    with pytest.raises(ValueError, match="is still open: close it first"):
        close_call(by=tech, call=call, values=ENDED)
    record_task(by=tech, task=task, result="done")
    for each in visit.tasks.filter(result=""):
        record_task(by=tech, task=each, result="not done", why_not="no time")
    ended = {"outcome": Outcome.EXCEPTIONS, "result": "It plays.", "why_not": "No time.", "signature": "A. Tech"}
    close_visit(by=tech, visit=visit, values=ended)
    closed = close_call(by=tech, call=call, values=ENDED)
    assert closed.visit == visit
    assert [each.last for each in proofs(closed, None, [])]


def test_a_visit_that_was_called_off_makes_room_for_another(call: ServiceCall, tech: User) -> None:
    first = send_visit(by=tech, call=call, starts_at=timezone.now())
    call_off_visit(by=tech, visit=first, reason="solved by phone")
    call.refresh_from_db()
    second = send_visit(by=tech, call=call, starts_at=timezone.now())
    call.refresh_from_db()
    assert second != first and call.visit == second


def test_hands_off_a_line_that_may_serve_life_safety(call: ServiceCall, line: Line, tech: User) -> None:
    Line.objects.filter(pk=line.pk).update(life_safety="unknown")
    with pytest.raises(ValueError):
        measure_for_call(by=tech, call=call, line=line, values=OHM)
    assert not LineMeasurement.objects.exists()


def test_electronics_that_were_replaced_ask_for_a_power_cut_test(call: ServiceCall, line: Line) -> None:
    assert untested_replacements(call) == []
    placement = line.amplifier.placements.get()
    placement.installed_on = call.called_at.astimezone(call.site.zone_info).date()
    placement.save()
    assert untested_replacements(call) == [line.amplifier]


def test_repeats_and_figures(zone: Zone, tech: User) -> None:
    """Counted by hand: three calls, the second 10 days after the first, the third at another zone."""
    now = timezone.now()
    other = ZoneFactory(site=zone.site, name="Yard")

    def at(days: int, about: Zone) -> ServiceCall:
        return take_call(by=tech, site=zone.site, values=TOLD, called_at=now - timedelta(days=days), zones=[about])

    first, second, third, old = at(40, zone), at(30, zone), at(5, other), at(400, zone)
    calls = calls_visible_to(tech)
    assert earlier_calls(second, calls) == [first]
    assert earlier_calls(third, calls) == []
    for call, minutes in ((first, 10), (second, 30)):
        ended = call.called_at + timedelta(minutes=minutes)
        values = ENDED | {"minutes": minutes, "restored_at": ended}
        close_call(by=tech, call=call, values=values, at=ended)
    third = ServiceCall.objects.get(pk=third.pk)
    visit = send_visit(by=tech, call=third, starts_at=now)
    close_visit(
        by=tech,
        visit=visit,
        values={"outcome": "not possible", "result": "Nobody was there.", "why_not": "Closed.", "signature": "A."},
    )
    close_call(by=tech, call=third, values=ENDED | {"minutes": 90, "cause": "age"})
    found = call_figures(calls, now=now + timedelta(minutes=1))
    assert (found.calls, found.repeats, found.by_phone, found.trips, found.saved_trips) == (3, 1, 2, 1, 1)
    assert (found.minutes, found.until_restored) == (30, "20 min")
    assert found.by_cause[0] == ("Management: no instruction, no record", 2)
    assert old.is_open
