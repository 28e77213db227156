"""Stories of calls: people say what a fault sounds like, and it has to stand among the first three suspects.

The faults are simulated apart from the code under test: nodal analysis and own sums of energies in diagnosis_cases.py.
The words for a change are common practice: from 3 dB on people remark on it, 15 dB less they call silent.
"""

import math
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from registry.audio.models import Coil, Line, Zone
from registry.baselines.models import Reading
from registry.demo.factories import LoudspeakerFactory, SiteFactory, ZoneFactory
from registry.demo.garden_centre import load_garden_centre
from registry.engineering.diagnosis import Site as PlainSite
from registry.visits.baseline_site import NO_BASELINE, NO_LINES, known_site
from registry.visits.call_work import measure_for_call, read_for_call, send_visit
from registry.visits.calling import close_call, say, take_call
from registry.visits.models import ServiceCall
from registry.visits.reading import record_visit_reading
from registry.visits.sayings import Said
from registry.visits.suspecting import NOTHING_SAID
from sites.models import Site, User
from tests.engineering.diagnosis_cases import Case, fixed_cases, true_levels
from tests.visits.calls import ENDED, agreed_site, kinds, suspected


def words_of(site: PlainSite, case: Case) -> list[Said]:
    """What people would say of every zone, and of the loudspeaker if only that one is silent."""
    said = []
    for spot, level in zip(site.spots, true_levels(site, case), strict=True):
        # Nobody hears a background that is as loud as ever: what is left of the music counts.
        change = level - spot.level_db
        music = -math.inf if spot.background_db is not None and level < spot.background_db + 1 else change
        word = "silent" if music <= -15 else "quieter" if change <= -3 else "louder" if change >= 3 else "as usual"
        said.append(Said(word, zone=spot.zone))
    dead = [label for label, energy in case.gains.items() if energy == 0.0]
    if len(dead) == 1:
        said.append(Said("silent", loudspeaker=dead[0]))
    return said


@pytest.fixture
def garden(tech: User) -> Site:
    return load_garden_centre(by=tech, today=timezone.localdate())


def test_in_the_garden_centre_the_true_fault_is_among_the_first_three(garden: Site, tech: User) -> None:
    now = timezone.now()
    plain = known_site(garden, before=now).site
    assert plain is not None
    wanted = [
        ("coil open", "LS-07"),
        ("coil open", "LS-20"),
        ("cable open", "LS-14"),
        ("coil open", "LS-04"),
        ("coil open", "LS-16"),
        ("channel dead", "L3 Café"),
        ("channel dead", "L6 Shop floor"),
        ("amplifier dead", "Amplifier 1"),
        ("source silent", "Stream 2"),
    ]
    cases = {case.key: case for case in fixed_cases(plain)}
    for key in wanted:
        call = take_call(by=tech, site=garden, values={"says": "…"}, called_at=now, said=words_of(plain, cases[key]))
        assert key in kinds(suspected(call)), (key, [each.says for each in suspected(call).ranked])


@pytest.fixture
def pub(site: Site, tech: User) -> Site:
    agreed_site(site, tech)
    return site


@pytest.fixture
def site(db: None) -> Site:
    return SiteFactory(code="pub", name="The pub", time_zone="Europe/London", voice_alarm="no")


def taken(site: Site, by: User, *said: Said) -> ServiceCall:
    return take_call(by=by, site=site, values={"says": "Something is wrong"}, said=said)


def test_an_open_loudspeaker_is_found_by_level_and_then_by_impedance(pub: Site, tech: User) -> None:
    """Half the loudspeakers of a zone: −3.0 dB and twice the impedance (Ohm's law; the cable adds a little)."""
    call = taken(pub, tech, Said("quieter", zone="Bar"), Said("as usual", zone="Hall"))
    before = suspected(call)
    assert ("dial moved", "Bar") in kinds(before)
    bar, line = Zone.objects.get(name="Bar"), Line.objects.get(name="L1")
    read_for_call(by=tech, call=call, zone=bar, values={"level_db": 59.0, "background_db": 40.0})
    ohm = {"impedance_ohm": 8.3, "frequency_hz": 1000.0, "is_open": False}
    measure_for_call(by=tech, call=call, line=line, values=ohm)
    after = suspected(call)
    assert {kind for kind, _ in kinds(after, 1)} == {"coil open", "cable open"}
    assert {where for _, where in kinds(after, 1)} == {"LS-1A", "LS-1B"}
    assert after.ranked[0].probability > 0.9
    assert {"ladder", "wiring"} == set(after.ranked[0].cautions)


def test_a_question_that_can_be_answered_on_the_phone_tells_two_faults_apart(pub: Site, tech: User) -> None:
    call = taken(pub, tech, Said("silent"))
    question = suspected(call).question
    assert question is not None and question.zone in {"Bar", "Hall"}
    answer = dict(question.answers)
    for word, fault in answer.items():
        told = suspected(say(by=tech, call=call, said=Said(word, zone=question.zone)))
        assert told.question is None or told.question.zone != question.zone
        assert fault.partition(":")[0] in {where for _, where in kinds(told)} | {"no fault"}


def test_as_usual_weighs_like_a_rough_reading(pub: Site, tech: User) -> None:
    quiet = taken(pub, tech, Said("silent", zone="Bar"))
    both = taken(pub, tech, Said("silent", zone="Bar"), Said("as usual", zone="Bar"))
    assert suspected(both).ranked[0].faults[0].kind != suspected(quiet).ranked[0].faults[0].kind


def test_a_corrected_reading_and_one_of_before_the_call_do_not_count(pub: Site, tech: User) -> None:
    bar = Zone.objects.get(name="Bar")
    call = taken(pub, tech)
    assert suspected(call).gaps == (NOTHING_SAID,)
    Reading.objects.create(
        zone=bar, state="as found", level_db=50.0, taken_at=call.called_at - timedelta(minutes=1), recorded_by=tech
    )
    assert suspected(call).gaps == (NOTHING_SAID,)
    wrong = read_for_call(by=tech, call=call, zone=bar, values={"level_db": 50.0})
    assert "Bar" in {where for _, where in kinds(suspected(call), 1)}
    Reading.objects.create(
        zone=bar, state="as found", level_db=62.0, taken_at=wrong.taken_at, recorded_by=tech, replaces=wrong
    )
    assert "Bar" not in {where for _, where in kinds(suspected(call), 1)}


OPEN = {"impedance_ohm": None, "frequency_hz": 1000.0, "is_open": True}


def test_no_continuity_is_the_line_and_is_listed_with_what_it_would_read(pub: Site, tech: User) -> None:
    """Two loudspeakers in parallel: one open leaves half the load (Ohm's law), so nothing at all is the line's."""
    call = taken(pub, tech, Said("silent", zone="Bar"), Said("as usual", zone="Hall"))
    assert ("line open", "L1") in kinds(suspected(call))
    measure_for_call(by=tech, call=call, line=Line.objects.get(name="L1"), values=OPEN)
    found = suspected(call)
    assert kinds(found, 1) == [("line open", "L1")] and found.ranked[0].probability > 0.99
    assert [(each.where, each.read, each.expected) for each in found.evidence] == [
        ("L1", "an open line", "an open line")
    ]


def test_what_no_single_fault_explains_is_not_called_likely(pub: Site, tech: User) -> None:
    call = taken(pub, tech, Said("silent", zone="Bar"))
    ohm = {"impedance_ohm": 100.0, "frequency_hz": 1000.0, "is_open": False}
    measure_for_call(by=tech, call=call, line=Line.objects.get(name="L1"), values=ohm)
    found = suspected(call)
    assert not found.ranked and found.next_reading is None and found.question is None
    assert found.unexplained.startswith("No single fault explains what was read. The nearest is ")
    assert found.unexplained.endswith("not 100 Ω.")


def test_what_was_read_for_something_else_is_no_evidence_of_the_call(pub: Site, tech: User) -> None:
    bar, line = Zone.objects.get(name="Bar"), Line.objects.get(name="L1")
    call, other = taken(pub, tech), taken(pub, tech, Said("silent", zone="Bar"))
    other_visit = send_visit(by=tech, call=other, starts_at=timezone.now(), begin=True)
    record_visit_reading(by=tech, visit=other_visit, zone=bar, state="as found", values={"level_db": 45.0})
    measure_for_call(by=tech, call=other, line=line, values=OPEN)
    Reading.objects.create(zone=bar, state="as found", level_db=50.0, taken_at=timezone.now(), recorded_by=tech)
    assert (suspected(call).gaps, suspected(call).evidence) == ((NOTHING_SAID,), ())
    assert [each.where for each in suspected(other).evidence] == ["Bar", "L1"]


def test_an_impedance_at_another_frequency_than_before_is_left_out_and_named(pub: Site, tech: User) -> None:
    line = Line.objects.get(name="L1")
    ohm = {"impedance_ohm": 4.2, "frequency_hz": 1000.0, "is_open": False}
    first = taken(pub, tech)
    measure_for_call(by=tech, call=first, line=line, values=ohm)
    second = taken(pub, tech, Said("quieter", zone="Bar"))
    measure_for_call(by=tech, call=second, line=line, values=ohm | {"frequency_hz": 0.0, "impedance_ohm": 3.4})
    assert any("another frequency" in gap for gap in suspected(second).gaps)


def test_where_the_register_knows_too_little_it_says_so(tech: User) -> None:
    bare = SiteFactory()
    call = taken(bare, tech)
    assert suspected(call).gaps == (NO_BASELINE, NO_LINES)
    assert not suspected(call).ranked and suspected(call).rows() == []


def test_what_the_baseline_does_not_know_is_named_and_not_weighed(pub: Site, tech: User) -> None:
    cellar = ZoneFactory(site=pub, name="Cellar")
    LoudspeakerFactory(site=pub, label="LS-9", zone=cellar)
    call = taken(pub, tech, Said("silent", zone="Cellar"), Said("silent", loudspeaker="LS-9"))
    found = suspected(call)
    assert not found.ranked
    assert "What is said of Cellar and LS-9 can't be weighed: it has no agreed level or line." in found.gaps


def test_a_line_that_was_rewired_since_is_named(pub: Site, tech: User) -> None:
    Coil.objects.filter(loudspeaker__label="LS-1B").delete()
    assert any(gap.startswith("L1: wired otherwise than in baseline 1") for gap in suspected(taken(pub, tech)).gaps)


def test_nothing_is_offered_to_be_altered_where_life_safety_may_be(pub: Site, tech: User) -> None:
    Line.objects.filter(name="L1").update(life_safety="unknown")
    told = suspected(taken(pub, tech, Said("silent", zone="Bar"), Said("as usual", zone="Hall"))).ranked
    of_bar = [each for each in told if each.faults[0].where in {"Bar", "L1", "Stream 1", "LS-1A"}]
    assert of_bar
    for each in of_bar:
        assert not each.by_phone and not each.bring and "life-safety" in each.cautions, each.says


def test_by_phone_it_says_what_was_agreed(pub: Site, tech: User) -> None:
    told = suspected(taken(pub, tech, Said("silent", zone="Bar"), Said("as usual", zone="Hall"))).ranked
    source = next(each for each in told if each.faults[0].kind == "source silent")
    assert "As agreed for Amplifier 1: input network; source Stream 1; group House 1." in source.by_phone
    louder = suspected(taken(pub, tech, Said("louder", zone="Bar"), Said("as usual", zone="Hall"))).ranked
    dial = next(each for each in louder if each.faults[0].kind == "dial moved")
    assert "As agreed for Bar: dial 50 %, cap 80 %." in dial.by_phone


def test_a_closed_call_keeps_what_was_suspected_whatever_is_read_later(pub: Site, tech: User) -> None:
    call = taken(pub, tech, Said("louder", zone="Bar"), Said("as usual", zone="Hall"))
    shown = suspected(call).rows()
    closed = close_call(by=tech, call=call, values=ENDED)
    assert closed.suspects == shown and shown[0]["probability"] > 0
    Reading.objects.create(zone=Zone.objects.get(name="Hall"), state="as found", level_db=40.0, taken_at=timezone.now())
    assert ServiceCall.objects.get(pk=call.pk).suspects == shown


def test_the_queries_do_not_grow_with_the_site(tech: User) -> None:
    counts = []
    for names in (("Bar",), ("Bar", "Hall", "Yard")):
        other = SiteFactory(voice_alarm="no")
        agreed_site(other, tech, zones=names)
        call = ServiceCall.objects.select_related("site").get(pk=taken(other, tech, Said("silent")).pk)
        with CaptureQueriesContext(connection) as captured:
            suspected(call)
        counts.append(len(captured))
    assert counts[0] == counts[1]
