"""What is missing is named and can be accepted; then the baseline is frozen, and the site handed over."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from registry.audio.models import Drift, Line, Zone
from registry.baselines.models import Baseline
from registry.planning.answers import say_could_not
from registry.planning.commissioning import record_impedance, record_polarity, record_power_cut, start_commissioning
from registry.planning.finishing import freeze_commissioning, hand_over, stop_commissioning, unfinished
from registry.planning.models import Commissioning, Polarity
from registry.planning.zone_matching import accept_trial, record_trial, want_level
from sites.models import User, YesNoUnknown
from sites.put import RefusedError
from tests.planning.commissioning.conftest import OHM, TRIAL, work_through

pytestmark = pytest.mark.django_db
SIGNED: dict[str, Any] = {"reason": "Commissioning", "signature": "T. Tech"}


def test_a_complete_run_is_frozen_without_exceptions_and_handed_over(run: Commissioning, tech: User) -> None:
    work_through(run, tech)
    assert unfinished(run).exceptions == []
    baseline = freeze_commissioning(by=tech, commissioning=run, **SIGNED)
    assert (baseline.number, baseline.author, baseline.exceptions) == (1, tech, [])
    assert baseline.content["zones"]["Shop"]["level_db"] == 62.2
    assert baseline.content["zones"]["Shop"]["cap"] == 60.0
    assert (
        baseline.content["places"]["Amplifier 1"]["settings"]["power-cut test"][0]
        == "passed: plays Stream 1 after 40 s"
    )
    run.refresh_from_db()
    assert (run.is_open, run.is_working, run.signature) == (True, False, "T. Tech")
    hand_over(by=tech, commissioning=run, handed_to="Manager on duty", training="Volume, what to try, whom to call")
    run.refresh_from_db()
    assert (run.is_open, run.handed_to, run.closed_by) == (False, "Manager on duty", tech)
    assert set(Zone.objects.values_list("drift", flat=True)) == {Drift.NOT_MEASURED}


def test_what_is_open_impossible_or_wrong_is_an_exception(run: Commissioning, tech: User) -> None:
    first, second = run.site.lines.order_by("name")
    record_impedance(by=tech, commissioning=run, line=first, values=OHM | {"impedance_ohm": 33.0})
    record_polarity(by=tech, commissioning=run, line=first, polarity=Polarity.REVERSED, note="LS2")
    say_could_not(by=tech, commissioning=run, key=f"line:{second.pk}:impedance", why="terminals behind the freezer")
    record_polarity(by=tech, commissioning=run, line=second, polarity=Polarity.NOT_TESTED)
    shop = run.site.zones.get(name="Shop")
    want_level(by=tech, commissioning=run, zone=shop, wanted_db=58.0)
    trial = record_trial(by=tech, commissioning=run, zone=shop, values=TRIAL)
    accept_trial(by=tech, commissioning=run, trial=trial)
    place = run.site.places.get(name="Amplifier 1")
    record_power_cut(by=tech, commissioning=run, place=place, passed=False, says="silent")
    missing = unfinished(run)
    assert missing.open_steps == (
        "Reference track: file and level not recorded.",
        "Shop: spot and as found not recorded.",
        "Yard: spot, as found and as left not recorded.",
    )
    assert missing.could_not == ("L2: impedance not done: terminals behind the freezer",)
    beginnings = (
        "L1: 33 Ω at 1000 Hz against",
        "L1: polarity reversed at LS2.",
        "L2: polarity was not tested.",
        "Shop: left +4.2 dB from the wanted level.",
        "Amplifier 1: power-cut test failed: silent",
    )
    assert len(missing.findings) == len(beginnings)
    for told, beginning in zip(missing.findings, beginnings, strict=True):
        assert told.startswith(beginning)
    assert missing.baseline == ("Zone Shop has no reference track: without it nobody can repeat the reading.",)


def test_exceptions_have_to_be_accepted_and_are_kept(run: Commissioning, tech: User) -> None:
    with pytest.raises(RefusedError, match="Something is missing"):
        freeze_commissioning(by=tech, commissioning=run, **SIGNED)
    assert not Baseline.objects.exists()
    freeze_commissioning(by=tech, commissioning=run, with_exceptions=True, **SIGNED)
    run.refresh_from_db()
    assert "L1: impedance and polarity not recorded." in run.exceptions


def test_freezing_asks_for_a_name_and_a_reason(run: Commissioning, tech: User) -> None:
    work_through(run, tech)
    with pytest.raises(RefusedError, match="Sign with your name"):
        freeze_commissioning(by=tech, commissioning=run, reason="Commissioning", signature=" ")
    with pytest.raises(ValueError, match="say why"):
        freeze_commissioning(by=tech, commissioning=run, reason=" ", signature="T. Tech")


def test_after_freezing_nothing_more_is_recorded_in_the_run(run: Commissioning, tech: User, series_line: Line) -> None:
    freeze_commissioning(by=tech, commissioning=run, with_exceptions=True, **SIGNED)
    with pytest.raises(ValueError, match="is frozen"):
        record_impedance(by=tech, commissioning=run, line=series_line, values=OHM)
    with pytest.raises(ValueError, match="is frozen"):
        freeze_commissioning(by=tech, commissioning=run, with_exceptions=True, **SIGNED)


def test_life_safety_is_named_and_needs_no_acceptance(run: Commissioning, tech: User) -> None:
    work_through(run, tech)
    Line.objects.filter(name="L2").update(life_safety=YesNoUnknown.YES)
    missing = unfinished(run)
    assert [stop.name for stop in missing.excluded] == ["L1", "L2", "Yard", "Amplifier 1"]
    assert missing.exceptions == []


def test_a_site_is_not_handed_over_before_it_is_frozen(run: Commissioning, tech: User) -> None:
    with pytest.raises(ValueError, match="freeze the baseline first"):
        hand_over(by=tech, commissioning=run, handed_to="Manager on duty")
    freeze_commissioning(by=tech, commissioning=run, with_exceptions=True, **SIGNED)
    with pytest.raises(RefusedError, match="who took it over"):
        hand_over(by=tech, commissioning=run, handed_to=" ")


def test_a_run_can_be_stopped_with_a_reason_and_another_started(run: Commissioning, tech: User) -> None:
    with pytest.raises(RefusedError, match="why it ends"):
        stop_commissioning(by=tech, commissioning=run, because="")
    stop_commissioning(by=tech, commissioning=run, because="Wrong site")
    with pytest.raises(ValueError, match="closed already"):
        stop_commissioning(by=tech, commissioning=run, because="Wrong site")
    assert start_commissioning(by=tech, site=run.site) != run


@pytest.mark.parametrize(
    "broken",
    [
        {"signature": "T. Tech"},
        {"handed_to": "Manager", "closed_at": "2026-01-01T00:00Z"},
        {"closed_at": "2026-01-01T00:00Z"},
        {"stopped_because": "Wrong site"},
    ],
)
def test_the_database_keeps_the_end_of_a_run_consistent(run: Commissioning, broken: dict[str, str]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Commissioning.objects.filter(pk=run.pk).update(**broken)
