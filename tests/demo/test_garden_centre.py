"""The folder imports as it stands, and the story that it tells holds."""

import math
from datetime import timedelta
from typing import Any

import pytest

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Drift, Line, Zone
from registry.baselines.drift import drifts_of
from registry.baselines.models import Baseline, Reading
from registry.demo.garden_centre import COMMISSIONED, FOLDER, MOST_BYTES
from registry.engineering.line import LineLoad
from registry.engineering.measure import PLACING_DB, REPEATABILITY_DB
from registry.equipment.models import Item, Place, Placement, Status
from registry.equipment.queries import settings_now
from registry.exchange.exporting import export_survey
from registry.exchange.folder import files_of_folder
from registry.exchange.importing import import_survey
from registry.exchange.survey_format import FILES
from sites.models import Site
from tests.demo.conftest import TODAY


def folder() -> dict[str, bytes]:
    return files_of_folder(FOLDER, most_bytes=MOST_BYTES)


@pytest.mark.django_db
def test_the_folder_imports_as_it_stands_and_the_second_time_changes_nothing() -> None:
    assert set(folder()) == {survey_file.name for survey_file in FILES}
    first = import_survey(folder(), by=None)
    assert first.new > 100
    assert first.changed == 0
    assert import_survey(folder(), by=None).changes == []


@pytest.mark.django_db
def test_what_is_exported_has_as_many_rows_and_changes_nothing_when_it_comes_back() -> None:
    import_survey(folder(), by=None)
    out = export_survey(Site.objects.get())
    assert {name: content.count(b"\n") for name, content in out.items()} == {
        name: content.count(b"\n") for name, content in folder().items()
    }
    assert import_survey(out, by=None).changes == []


def loads(site: Site) -> dict[str, LineLoad]:
    return {line.name: load_of(line) for line in with_wiring(Line.objects.filter(site=site))}


def test_every_line_has_the_verdict_that_the_story_wants(garden_centre: Site) -> None:
    assert dict(Line.objects.filter(site=garden_centre).values_list("name", "verdict")) == {
        "L1 Tills": "pass",
        "L2 Houseplants": "warn",
        "L3 Café": "pass",
        "L4 Outdoor": "pass",
        "L5 Gift room": "pass",
        "L6 Shop floor": "warn",
        "L7 Toilets": "unknown",
        "L8 Plant house": "fail",
        "L9 Staff room": "pass",
    }


def test_six_in_parallel_are_unsafe_and_the_sentence_says_why(garden_centre: Site) -> None:
    # Published wire table: 14 AWG copper has 2.525 Ω per 1000 ft at 20 °C; each string there and back, then 1/Σ(1/R).
    per_metre = 2.525 / 304.8
    strings = [8 + 2 * length_m * per_metre for length_m in (18, 22, 26, 30, 34, 38)]
    expected = 1 / math.fsum(1 / ohm for ohm in strings)
    load = loads(garden_centre)["L8 Plant house"]
    assert load.impedance_ohm == pytest.approx(expected, rel=5e-3)
    assert load.verdict == "fail"
    assert load.says == "Six loudspeakers of 8 Ω in parallel load the channel with 1.41 Ω; it allows 4 Ω or more."


def test_a_series_string_says_who_falls_silent_and_costs_9_5_db(garden_centre: Site) -> None:
    load = loads(garden_centre)["L2 Houseplants"]
    assert load.says == "String 1: one open coil silences LS-03, LS-04 and LS-05."
    assert load.worst is not None
    # Equal loads in series share the voltage (Ohm's law): 20 lg(1/3), and a little more for the cable.
    assert load.worst.level_re_direct_db == pytest.approx(20 * math.log10(1 / 3), abs=0.4)


def test_a_stereo_in_one_loudspeaker_hangs_on_its_channel_with_both_coils(garden_centre: Site) -> None:
    line = Line.objects.get(site=garden_centre, name="L5 Gift room")
    coils = list(line.coils.order_by("coil").values_list("loudspeaker__label", "coil", "plus", "minus"))
    assert coils == [("LS-18", "1", "red", "black"), ("LS-18", "2", "white", "green")]
    assert loads(garden_centre)["L5 Gift room"].says.startswith("Two coils of 8 Ω in parallel load the channel")


def test_the_outdoor_line_asks_for_its_taps_with_insertion_loss(garden_centre: Site) -> None:
    line = Line.objects.get(site=garden_centre, name="L4 Outdoor")
    assert line.kind == "100"
    # Six taps of 10 W and two of 6 W; 0.8 dB of insertion loss is a factor of 10^0.08.
    asked_w = (6 * 10 + 2 * 6) * 10**0.08
    assert f"{asked_w:.1f} W" in loads(garden_centre)["L4 Outdoor"].says


def test_the_cafe_has_provably_drifted_and_nothing_else_has(garden_centre: Site) -> None:
    zones = list(Zone.objects.filter(site=garden_centre))
    assert {zone.name: zone.drift for zone in zones} == {
        "Tills": Drift.WITHIN,
        "Shop floor": Drift.WITHIN,
        "Houseplants": Drift.WITHIN,
        "Gift room": Drift.WITHIN,
        "Café": Drift.OUT,
        "Café terrace": Drift.UNDECIDED,
        "Outdoor plants": Drift.WITHIN,
        "Plant house": Drift.WITHIN,
        "Toilets": Drift.NOT_MEASURED,
        "Staff room": Drift.NO_BASELINE,
    }
    cafe = drifts_of(zones)[next(zone.pk for zone in zones if zone.name == "Café")]
    # Guard band by JCGM 106, 8.3: k = 2 on both readings' spread, placing (common practice, both) and display step
    # of 0.1 dB; the meter's own error cancels, because meter, spot and track are the same.
    guard_db = 2 * math.sqrt(2 * (REPEATABILITY_DB**2 + PLACING_DB**2 + 0.1**2 / 12))
    assert cafe.uncertainty_db == pytest.approx(guard_db, abs=0.01)
    assert cafe.drift_db is not None
    assert cafe.drift_db > 2.0 + guard_db
    assert "cancels" in cafe.says


def test_the_cafe_is_louder_by_what_somebody_changed_on_its_amplifier(garden_centre: Site) -> None:
    place = Place.objects.get(site=garden_centre, name="Amplifier 2")
    now = {key: setting.value for key, setting in settings_now([place])[place.pk].items()}
    frozen = baseline(garden_centre).content["places"]["Amplifier 2"]["settings"]
    assert {key: (value, now[key]) for key, (value, _) in frozen.items() if now[key] != value} == {
        "channel 1 cap": ("60", "100"),
        "bass": ("0", "4"),
    }
    readings = Reading.objects.filter(zone__site=garden_centre, zone__name="Café").order_by("-taken_at")
    newest, before = readings[0], readings[2]
    assert newest.drive_v is not None
    assert before.drive_v is not None
    # The voltage went up as far as the level: it is the amplifier, not the room (20 lg of the ratio of voltages).
    by_voltage_db = 20 * math.log10(newest.drive_v / before.drive_v)
    assert by_voltage_db == pytest.approx(newest.level_db - before.level_db, abs=0.3)
    assert by_voltage_db > 20 * math.log10(100 / 60)


def baseline(site: Site) -> Baseline:
    return Baseline.objects.get(site=site)


def test_the_baseline_is_dated_on_the_day_of_commissioning_and_lists_what_it_lacks(garden_centre: Site) -> None:
    frozen = baseline(garden_centre)
    weeks, rest = divmod((frozen.frozen_at.date() - COMMISSIONED).days, 7)
    assert (weeks > 0, rest) == (True, 0)
    assert frozen.content["zones"]["Café"]["level_db"] == 62.3
    named = {"Staff room": 1, "Amplifier 3": 1, "L7 Toilets": 2, "L8 Plant house": 1}
    assert {name: sum(name in says for says in frozen.exceptions) for name in named} == named
    assert len(frozen.exceptions) == 5


def test_no_change_is_offered_where_life_safety_is_unknown(garden_centre: Site) -> None:
    may_not = [line.name for line in Line.objects.filter(site=garden_centre) if not line.may_change]
    assert may_not == ["L7 Toilets"]


def test_the_replacement_is_under_way(garden_centre: Site) -> None:
    lines: dict[str, Any] = {}
    for line in Line.objects.filter(site=garden_centre).select_related("amplifier"):
        lines.setdefault(line.amplifier.name, set()).add(line.channel)
    assert lines == {
        "Amplifier 1": {"1", "2"},
        "Amplifier 2": {"1", "2"},
        "Amplifier 3": {"1", "2"},
        "Old amplifier": {"6", "7", "8"},
    }
    old = Placement.objects.get(place__site=garden_centre, place__name="Old outdoor amplifier")
    assert (old.current, old.item.status) == (False, Status.REMOVED)


def test_it_looks_fresh(garden_centre: Site) -> None:
    newest = Reading.objects.filter(zone__site=garden_centre).latest("taken_at").taken_at.date()
    assert timedelta(days=2) <= TODAY - newest <= timedelta(days=8)
    ending = Item.objects.filter(
        site=garden_centre, warranty_until__range=(TODAY, TODAY + timedelta(days=90)), status=Status.IN_SERVICE
    )
    assert set(ending.values_list("tag", flat=True)) == {"SB-0020", "SB-0022"}
