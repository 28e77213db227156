"""Each step leaves its facts behind at once, is offered where it may be, and overwrites nobody."""

import pytest
from django.core.exceptions import ValidationError

from registry.audio.models import Line, Zone
from registry.baselines.models import Reading
from registry.equipment.models import ConfigurationRecord, Place, State
from registry.planning.answers import say_could_not
from registry.planning.commissioning import (
    mark_spot,
    record_as_found,
    record_impedance,
    record_polarity,
    record_power_cut,
    set_track,
    start_commissioning,
)
from registry.planning.models import Commissioning, CommissioningStep, LineMeasurement, Polarity, Trial
from registry.planning.sequence import Subject, progress_of, sequence_of
from registry.planning.zone_matching import accept_trial, record_trial, want_level
from sites.facts import Fact, FactIsFixedError
from sites.models import Site, User, YesNoUnknown
from sites.put import RefusedError
from tests.planning.commissioning.conftest import FOUND, OHM, TRACK, TRIAL

pytestmark = pytest.mark.django_db


def test_the_steps_are_in_working_order(site: Site) -> None:
    assert [(stop.subject, stop.name, [step.word for step in stop.steps]) for stop in sequence_of(site)] == [
        (Subject.TRACK, "Reference track", ["file and level"]),
        (Subject.LINE, "L1", ["impedance", "polarity"]),
        (Subject.LINE, "L2", ["impedance", "polarity"]),
        (Subject.ZONE, "Shop", ["spot", "as found", "as left"]),
        (Subject.ZONE, "Yard", ["spot", "as found", "as left"]),
        (Subject.PLACE, "Amplifier 1", ["power cut"]),
    ]


@pytest.mark.parametrize("flag", [YesNoUnknown.YES, YesNoUnknown.UNKNOWN])
def test_no_step_is_offered_where_life_safety_may_be_touched(site: Site, flag: YesNoUnknown) -> None:
    site.lines.filter(name="L1").update(life_safety=flag)
    stops = {(stop.subject, stop.name): stop for stop in sequence_of(site)}
    assert "life-safety related" in stops[(Subject.LINE, "L1")].excluded
    assert "life-safety related" in stops[(Subject.ZONE, "Shop")].excluded
    assert "life-safety related" in stops[(Subject.PLACE, "Amplifier 1")].excluded
    # Its neighbour on the same amplifier would need that amplifier off.
    assert "switched off, and it also drives L1" in stops[(Subject.LINE, "L2")].excluded
    assert [stop.name for stop in stops.values() if stop.steps] == ["Reference track", "Yard"]


def test_an_excluded_step_is_refused_however_it_is_asked_for(
    run: Commissioning, tech: User, series_line: Line, shop: Zone, amplifier: Place
) -> None:
    trial = record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL)
    Line.objects.filter(pk=series_line.pk).update(life_safety=YesNoUnknown.UNKNOWN)
    asked = [
        lambda: record_impedance(by=tech, commissioning=run, line=series_line, values=OHM),
        lambda: record_polarity(by=tech, commissioning=run, line=series_line, polarity=Polarity.OK),
        lambda: mark_spot(by=tech, commissioning=run, zone=shop, spot="P1"),
        lambda: record_as_found(by=tech, commissioning=run, zone=shop, values=FOUND),
        lambda: want_level(by=tech, commissioning=run, zone=shop, wanted_db=60.0),
        lambda: record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL, seen=1),
        lambda: accept_trial(by=tech, commissioning=run, trial=trial),
        lambda: record_power_cut(by=tech, commissioning=run, place=amplifier, passed=True, says="plays"),
        lambda: say_could_not(by=tech, commissioning=run, key=f"line:{series_line.pk}:impedance", why="locked"),
    ]
    for ask in asked:
        with pytest.raises(ValueError, match=r"life[- ]safety"):
            ask()
    assert not LineMeasurement.objects.exists()
    assert not Reading.objects.filter(recorded_by=tech).exists()


def test_everybody_shares_the_run_that_is_open_at_a_site(run: Commissioning, other_tech: User) -> None:
    assert start_commissioning(by=other_tech, site=run.site) == run


def test_somebody_else_goes_on_where_it_was_left(run: Commissioning, tech: User, other_tech: User) -> None:
    set_track(by=tech, commissioning=run, values=TRACK)
    line = run.site.lines.get(name="L1")
    record_impedance(by=tech, commissioning=run, line=line, values=OHM)
    again = start_commissioning(by=other_tech, site=run.site)
    progress = progress_of(again)
    assert progress.last is not None
    assert progress.next is not None
    assert (progress.last[0].name, progress.last[1].word, progress.last[2].changed_by) == ("L1", "impedance", tech)
    assert (progress.next[0].name, progress.next[1].word) == ("L1", "polarity")
    record_polarity(by=other_tech, commissioning=again, line=line, polarity=Polarity.OK)
    after = progress_of(again).next
    assert after is not None
    assert (after[0].name, after[1].word) == ("L2", "impedance")


def test_steps_may_be_done_in_another_order_and_the_first_open_one_comes_last(run: Commissioning, tech: User) -> None:
    place = run.site.places.get(name="Amplifier 1")
    record_power_cut(by=tech, commissioning=run, place=place, passed=True, says="plays")
    following = progress_of(run).next
    assert following is not None
    assert following[0].subject == Subject.TRACK


def test_the_track_has_a_name_a_hash_and_a_level(run: Commissioning, tech: User) -> None:
    with pytest.raises(RefusedError, match="Name the track"):
        set_track(by=tech, commissioning=run, values=TRACK | {"track_name": " "})
    for wrong in ({"track_sha256": "abc"}, {"track_sha256": "G" * 64}, {"track_level_dbfs": 3.0}):
        with pytest.raises(ValidationError):
            set_track(by=tech, commissioning=run, values=TRACK | wrong)
    set_track(by=tech, commissioning=run, values=TRACK)
    run.refresh_from_db()
    assert (run.track_name, run.track_sha256, run.track_level_dbfs) == ("Pink 1", "a" * 64, -20.0)


def test_a_name_that_stood_for_another_file_before_is_refused(run: Commissioning, tech: User) -> None:
    set_track(by=tech, commissioning=run, values=TRACK)
    Commissioning.objects.filter(pk=run.pk).update(closed_at="2026-01-01T00:00Z", stopped_because="power off")
    later = start_commissioning(by=tech, site=run.site)
    with pytest.raises(RefusedError, match="Another file had this name"):
        set_track(by=tech, commissioning=later, values=TRACK | {"track_sha256": "b" * 64})
    set_track(by=tech, commissioning=later, values=TRACK)


def test_an_impedance_is_judged_against_what_is_computed(run: Commissioning, tech: User, series_line: Line) -> None:
    measured = record_impedance(by=tech, commissioning=run, line=series_line, values=OHM)
    assert measured.computed_ohm == pytest.approx(16.7, abs=0.5)  # 2 × 8 Ω in series and some 16 m of 18 AWG
    assert measured.verdict == "pass"
    assert (measured.impedance_ohm, measured.frequency_hz, measured.recorded_by) == (17.0, 1000.0, tech)
    opened = record_impedance(
        by=tech,
        commissioning=run,
        line=series_line,
        values={"impedance_ohm": None, "is_open": True, "frequency_hz": 1000.0},
    )
    assert (opened.impedance_ohm, opened.is_open, opened.verdict) == (None, True, "fail")
    assert CommissioningStep.objects.get().measurement == opened


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"frequency_hz": None}, "frequency_hz"),
        ({"impedance_ohm": None}, "impedance_ohm"),
        ({"is_open": True}, "impedance_ohm"),
    ],
)
def test_an_impedance_has_a_test_frequency_and_one_value(
    run: Commissioning, tech: User, series_line: Line, wrong: dict[str, object], field: str
) -> None:
    with pytest.raises(RefusedError) as refused:
        record_impedance(by=tech, commissioning=run, line=series_line, values=OHM | wrong)
    assert refused.value.problems[0].field == field
    assert not LineMeasurement.objects.exists()


def test_a_correction_names_the_measurement_it_replaces(run: Commissioning, tech: User, series_line: Line) -> None:
    wrong = record_impedance(by=tech, commissioning=run, line=series_line, values=OHM | {"impedance_ohm": 71.0})
    right = record_impedance(by=tech, commissioning=run, line=series_line, values=OHM, corrects=True)
    assert right.replaces == wrong
    assert LineMeasurement.objects.get(pk=wrong.pk).impedance_ohm == 71.0


def test_reversed_polarity_names_the_loudspeakers(run: Commissioning, tech: User, series_line: Line) -> None:
    with pytest.raises(RefusedError, match="which loudspeakers"):
        record_polarity(by=tech, commissioning=run, line=series_line, polarity=Polarity.REVERSED)
    told = record_polarity(by=tech, commissioning=run, line=series_line, polarity=Polarity.REVERSED, note="LS2")
    assert (told.polarity, told.polarity_note) == ("reversed", "LS2")


def test_measurements_and_trials_are_facts(run: Commissioning, tech: User, series_line: Line, shop: Zone) -> None:
    assert {LineMeasurement, Trial} <= set(Fact.__subclasses__())
    measured = record_impedance(by=tech, commissioning=run, line=series_line, values=OHM)
    trial = record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL)
    for fact in (measured, trial):
        with pytest.raises(FactIsFixedError):
            fact.save()
        with pytest.raises(FactIsFixedError):
            fact.delete()


def test_the_spot_stays_with_the_zone(run: Commissioning, tech: User, shop: Zone) -> None:
    mark_spot(by=tech, commissioning=run, zone=shop, spot="P3 by the window, 1.6 m")
    shop.refresh_from_db()
    assert shop.spot == "P3 by the window, 1.6 m"
    assert shop.source == "Stream 1"
    assert shop.history.latest().history_user == tech


def test_as_found_is_a_reading_with_the_track_that_plays(run: Commissioning, tech: User, shop: Zone) -> None:
    set_track(by=tech, commissioning=run, values=TRACK)
    reading = record_as_found(by=tech, commissioning=run, zone=shop, values=FOUND)
    assert (reading.state, reading.level_db, reading.drive_v, reading.track) == (State.AS_FOUND, 62.0, 1.1, "Pink 1")


def test_as_found_is_locked_once_something_was_set_and_read(run: Commissioning, tech: User, shop: Zone) -> None:
    record_as_found(by=tech, commissioning=run, zone=shop, values=FOUND)
    record_as_found(by=tech, commissioning=run, zone=shop, values=FOUND | {"level_db": 61.8})
    trial = record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL)
    for _ in range(2):
        with pytest.raises(ValueError, match="as found is locked"):
            record_as_found(by=tech, commissioning=run, zone=shop, values=FOUND)
        left = run.steps.filter(key__endswith="as left").first()
        if left is None:
            accept_trial(by=tech, commissioning=run, trial=trial)
    assert Reading.objects.filter(zone=shop, state=State.AS_FOUND).count() == 2


def test_the_accepted_trial_becomes_the_reading_as_left(run: Commissioning, tech: User, shop: Zone) -> None:
    set_track(by=tech, commissioning=run, values=TRACK)
    first = record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL)
    second = record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL | {"cap": 62.0, "level_db": 62.4}, seen=1)
    with pytest.raises(ValueError, match="only the last reading"):
        accept_trial(by=tech, commissioning=run, trial=first)
    reading = accept_trial(by=tech, commissioning=run, trial=second)
    assert (reading.state, reading.level_db, reading.cap, reading.dial) == (State.AS_LEFT, 62.4, 62.0, 50.0)
    assert (reading.taken_at, reading.track, reading.meter) == (second.taken_at, "Pink 1", "Meter A")
    assert Reading.objects.filter(zone=shop, recorded_by=tech).count() == 1


@pytest.mark.parametrize("wrong", [{"dial": None}, {"cap": None}])
def test_a_trial_says_where_the_control_stood(
    run: Commissioning, tech: User, shop: Zone, wrong: dict[str, None]
) -> None:
    with pytest.raises(RefusedError, match="Say where it stood"):
        record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL | wrong)


def test_the_power_cut_test_is_a_setting_of_the_amplifier(run: Commissioning, tech: User, amplifier: Place) -> None:
    record = record_power_cut(by=tech, commissioning=run, place=amplifier, passed=False, says="silent until reset")
    assert {(setting.key, setting.value) for setting in record.settings.all()} == {
        ("power-cut test", "failed: silent until reset")
    }
    assert (record.state, record.item.tag if record.item else "") == (State.AS_LEFT, "AMP-1")
    with pytest.raises(RefusedError, match="Say what it did"):
        record_power_cut(by=tech, commissioning=run, place=amplifier, passed=True, says=" ")
    assert ConfigurationRecord.objects.filter(recorded_by=tech).count() == 1


def test_a_form_that_was_sent_twice_or_crossed_another_changes_nothing(
    run: Commissioning, tech: User, other_tech: User, series_line: Line, shop: Zone
) -> None:
    record_impedance(by=tech, commissioning=run, line=series_line, values=OHM, seen="")
    with pytest.raises(ValueError, match="answered meanwhile"):
        record_impedance(by=other_tech, commissioning=run, line=series_line, values=OHM, seen="")
    record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL, seen=0)
    with pytest.raises(ValueError, match="another reading of this zone"):
        record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL, seen=0)
    assert LineMeasurement.objects.count() == 1
    assert Trial.objects.count() == 1


def test_what_could_not_be_done_says_why_until_it_is_done(run: Commissioning, tech: User, series_line: Line) -> None:
    key = f"line:{series_line.pk}:impedance"
    with pytest.raises(RefusedError, match="why it could not"):
        say_could_not(by=tech, commissioning=run, key=key, why=" ")
    say_could_not(by=tech, commissioning=run, key=key, why="terminals behind the freezer")
    assert [why for _, _, why in progress_of(run).could_not] == ["terminals behind the freezer"]
    record_impedance(by=tech, commissioning=run, line=series_line, values=OHM)
    assert progress_of(run).could_not == []
    with pytest.raises(ValueError, match="done already"):
        say_could_not(by=tech, commissioning=run, key=key, why="too late")


def test_lines_zones_and_places_of_another_site_are_refused(run: Commissioning, tech: User) -> None:
    from registry.demo.factories import LineFactory, ZoneFactory

    with pytest.raises(ValueError, match="no part of the commissioning"):
        record_impedance(by=tech, commissioning=run, line=LineFactory(), values=OHM)
    with pytest.raises(ValueError, match="no part of the commissioning"):
        record_as_found(by=tech, commissioning=run, zone=ZoneFactory(), values=FOUND)
