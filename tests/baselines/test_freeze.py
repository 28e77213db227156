"""A baseline is numbered, complete or frozen with exceptions, and stays as it was."""

from typing import Any

import pytest

from registry.audio.models import Drift, Zone
from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Baseline
from registry.baselines.snapshot import differences, gaps, site_now
from registry.equipment.models import Item
from registry.exchange.importing import import_survey
from sites.facts import FactIsFixedError
from sites.models import Site, User
from tests.exchange.small_survey import edited, survey

pytestmark = pytest.mark.django_db


def test_a_complete_site_is_frozen_without_exceptions(site: Site, tech: User) -> None:
    assert gaps(site_now(site)) == []
    baseline = freeze_baseline(by=tech, site=site, reason="Commissioning")
    assert (baseline.number, baseline.exceptions, baseline.author) == (1, [], tech)
    assert baseline.content["zones"]["Shop"]["level_db"] == 62.5
    assert baseline.content["places"]["Amplifier 1"]["settings"]["bass"] == ["-2", "dB"]
    assert freeze_baseline(by=tech, site=site, reason="Again").number == 2


def test_a_reason_is_asked_for(site: Site, tech: User) -> None:
    with pytest.raises(ValueError, match="say why"):
        freeze_baseline(by=tech, site=site, reason=" ")


def test_what_is_missing_is_named_and_can_be_accepted(db: None, tech: User) -> None:
    files = edited("levels", survey()["levels.csv"].decode().split("\n")[2] + "\n", "")
    settings = (
        files["settings.csv"]
        .decode()
        .replace("acre,Amplifier 1,as left,2025-06-01T10:00,power-cut test,returns to the stream,\n", "")
    )
    import_survey(files | {"settings.csv": settings.encode()}, by=None)
    site = Site.objects.get()
    with pytest.raises(ValueError, match="Zone Yard has no level"):
        freeze_baseline(by=tech, site=site, reason="First")
    assert not Baseline.objects.exists()
    baseline = freeze_baseline(by=tech, site=site, reason="First", with_exceptions=True)
    assert [told.split(":")[0] for told in baseline.exceptions] == [
        "Zone Yard has no level",
        "The power-cut behaviour of Amplifier 1 is untested",
    ]


def test_a_baseline_never_changes(site: Site, tech: User) -> None:
    baseline = freeze_baseline(by=tech, site=site, reason="First")
    baseline.reason = "Other"
    with pytest.raises(FactIsFixedError):
        baseline.save()
    Item.objects.update(serial="S999")
    assert Baseline.objects.get().content["places"]["Amplifier 1"]["serial"] == "S100"


def test_what_differs_is_told_by_place_zone_and_line(site: Site, tech: User) -> None:
    before = freeze_baseline(by=tech, site=site, reason="First").content
    assert differences(before, site_now(site)) == []
    later = "acre,Amplifier 1,as found,2025-09-01T10:00,bass,-4,dB\n"
    import_survey({"settings.csv": (survey()["settings.csv"].decode() + later).encode()}, by=None)
    import_survey(edited("zones", "P1 by the till,50,2", "P1 by the till,40,2"), by=None)
    found = [(d.subject, d.name, d.key, d.before, d.after) for d in differences(before, site_now(site))]
    assert found == [
        ("places", "Amplifier 1", "setting: bass", "-2 dB", "-4 dB"),
        ("zones", "Shop", "default_position", 50.0, 40.0),
    ]


def read_again(level: str, **changed: str) -> None:
    facts = {
        "background_db": "45",
        "spot": "P1 by the till",
        "meter": "Meter A",
        "class": "2",
        "track": "Track 1",
    } | changed
    header, row = (
        survey()["levels.csv"].decode().split("\n")[0],
        ",".join(
            (
                "acre,Shop,as found,2025-09-01T10:00,50,60",
                level,
                facts["background_db"],
                "1.2",
                facts["spot"],
                facts["meter"],
                facts["class"],
                facts["track"],
            )
        ),
    )
    import_survey({"levels.csv": f"{header}\n{row}\n".encode()}, by=None)


@pytest.mark.parametrize(
    ("level", "changed", "verdict"),
    [
        ("62.6", {}, Drift.WITHIN),
        ("68", {}, Drift.OUT),
        ("64.5", {}, Drift.UNDECIDED),  # at the edge of the tolerance the meter can't tell
        ("66", {"meter": "Phone B", "class": "phone"}, Drift.UNDECIDED),  # another meter's fixed error doesn't cancel
        ("62.6", {"background_db": "60"}, Drift.UNDECIDED),  # less than 6 dB above the background: ISO 3744, 8.2.3
    ],
)
def test_drift_is_judged_with_what_the_meter_can_prove(
    site: Site, tech: User, level: str, changed: dict[str, Any], verdict: Drift
) -> None:
    freeze_baseline(by=tech, site=site, reason="First")
    assert Zone.objects.get(name="Shop").drift == Drift.NOT_MEASURED
    read_again(level, **changed)
    assert Zone.objects.get(name="Shop").drift == verdict


def test_without_a_baseline_nothing_has_drifted(site: Site) -> None:
    assert set(Zone.objects.values_list("drift", flat=True)) == {Drift.NO_BASELINE}


@pytest.mark.parametrize(
    ("change", "gap"),
    [
        (("settings", "power-cut test,returns to the stream", "power-cut test,"), "power-cut behaviour of Amplifier 1"),
        (("lines", "A,no,low", "A,unknown,low"), "Nobody has said whether line L1"),
        (("lines", "18 AWG,20 ft", ","), "Line L1: Size or length of the cable to LS1 is not known"),
    ],
)
def test_each_gap_is_named(db: None, change: tuple[str, str, str], gap: str) -> None:
    import_survey(edited(*change), by=None)
    assert any(gap in told for told in gaps(site_now(Site.objects.get())))


def test_a_spare_amplifier_is_no_gap(db: None) -> None:
    equipment = survey()["equipment.csv"].decode() + "acre,Shelf,AMP-9,Make A,A2,,,,,,,,,,,spare\n"
    import_survey(survey(equipment=equipment), by=None)
    assert gaps(site_now(Site.objects.get())) == []
