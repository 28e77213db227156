"""What fold plans refuse: figures that cannot be, names used twice, more zones than can be searched."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from registry.engineering.folding import AmplifierType, FoldCoil, FoldZone, Mode, Weights, Wiring, fold
from registry.engineering.folding_drive import (
    channel_drive_limit_db,
    constant_voltage_min_load_ohm,
    drive_of_volts_db,
    level_at_283_from_data,
    level_at_283_from_reading,
)
from registry.engineering.folding_options import series_shift_db, zone_wirings
from tests.engineering.folding_cases import TWO_CHANNELS, zone

GOOD = zone("A", 1, 8.0)


@pytest.mark.parametrize(
    ("zones", "amplifiers", "says"),
    [
        ([], [TWO_CHANNELS], "a fold plan needs a zone and an amplifier, got 0 and 1"),
        ([GOOD], [], "a fold plan needs a zone and an amplifier, got 1 and 0"),
        ([GOOD, GOOD], [TWO_CHANNELS], "zone 'A' is given twice"),
        ([GOOD], [TWO_CHANNELS, TWO_CHANNELS], "amplifier 'Two channels' is given twice"),
        ([GOOD, replace(GOOD, name="B")], [TWO_CHANNELS], "loudspeaker .* 'A-1' is given twice"),
        ([zone(f"Z{n}", 1, 8.0) for n in range(17)], [TWO_CHANNELS], "17 zones share .* at most 16"),
    ],
)
def test_what_cannot_be_planned_is_refused(zones: list[FoldZone], amplifiers: list[AmplifierType], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        fold(zones, amplifiers)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("name", "", "a zone needs a name"),
        ("coils", (), "at least one coil"),
        ("coils", (FoldCoil("A", 8.0), FoldCoil("A", 8.0)), "given twice"),
        ("tolerance_db", -1.0, "tolerance_db of zone A is -1.0"),
        ("weight", float("nan"), "weight of zone A is nan"),
        ("control_db", float("inf"), "control_db of zone A is inf"),
        ("wanted_db", float("nan"), "wanted_db of zone A is nan"),
        ("level_at_283_db", float("inf"), "level_at_283_db of zone A is inf"),
        ("longest_string", 0, "longest_string of zone A is 0: allowed is 1 to 8"),
        ("kind", "50", "kind of zone A must be low, 25, 70.7, 100, got '50'"),
        ("life_safety", "maybe", "life_safety of zone A must be no, yes, unknown, got 'maybe'"),
    ],
)
def test_a_zone_refuses(field: str, value: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        replace(GOOD, **{field: value})


def test_parts_refuse_figures_that_cannot_be() -> None:
    for build, says in (
        (lambda: FoldCoil("", 8.0), "must be a label"),
        (lambda: FoldCoil("A", 0.0), "impedance_ohm of A is 0.0"),
        (lambda: FoldCoil("A", 8.0, rated_power_w=-1.0), "rated_power_w of A is -1.0"),
        (lambda: Wiring(0, 1), "per_string is 0"),
        (lambda: Mode("m", 5, 4.0), "channels of mode m is 5: allowed is 1 to 4"),
        (lambda: Mode("m", 2, 0.0), "min_load_ohm of mode m is 0.0"),
        (lambda: Mode("m", 2, 4.0, max_drive_db=float("nan")), "max_drive_db of mode m is nan"),
        (lambda: AmplifierType("A", ()), "needs modes"),
        (lambda: AmplifierType("A", TWO_CHANNELS.modes, price=-1.0), "price of A is -1.0"),
        (lambda: Weights(level=-1.0), "weight level is -1.0"),
    ):
        with pytest.raises(ValueError, match=says):
            build()


def test_drive_is_counted_from_2_83_volts_and_refuses_what_is_no_voltage() -> None:
    # 2.83 V into 8 Ω is 1 W (common practice); ten times the voltage is 20 dB.
    assert drive_of_volts_db(2.83) == 0.0
    assert drive_of_volts_db(28.3) == pytest.approx(20.0)
    assert level_at_283_from_reading(level_db=74.0, volts=2.83) == 74.0
    # Inverse distance law: −6.02 dB for twice the distance; four incoherent sources: +6.02 dB.
    assert level_at_283_from_data(sensitivity_db=90.0, distance_m=2.0) == pytest.approx(83.98, abs=0.005)
    four = level_at_283_from_data(sensitivity_db=90.0, distance_m=1.0, loudspeakers=4)
    assert four == pytest.approx(96.02, abs=0.005)

    # 1 W into 8 Ω is 2.83 V, so without headroom the limit is 0 dB; 100 V and 100 W are 100 Ω.
    assert channel_drive_limit_db(power_w=1.0, load_ohm=8.0, headroom_db=0.0) == pytest.approx(0.0, abs=0.01)
    assert constant_voltage_min_load_ohm(line_v=100.0, power_w=100.0, share=1.0) == 100.0


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (lambda: drive_of_volts_db(0.0), "volts is 0.0"),
        (lambda: level_at_283_from_reading(level_db=float("nan"), volts=1.0), "level_db is nan"),
        (lambda: level_at_283_from_data(sensitivity_db=90.0, distance_m=0.0), "distance_m is 0.0"),
        (lambda: level_at_283_from_data(sensitivity_db=90.0, distance_m=1.0, loudspeakers=0), "loudspeakers is 0"),
        (lambda: channel_drive_limit_db(power_w=10.0, load_ohm=8.0, headroom_db=-1.0), "headroom_db is -1.0"),
        (lambda: constant_voltage_min_load_ohm(line_v=100.0, power_w=0.0), "power_w is 0.0"),
        (lambda: constant_voltage_min_load_ohm(line_v=100.0, power_w=10.0, share=1.2), "share is 1.2"),
        (lambda: series_shift_db(0), "per_string is 0"),
        (lambda: zone_wirings(GOOD, channels=0), "channels is 0"),
        (lambda: zone_wirings(replace(GOOD, wanted_db=None), channels=2), "must be known: read them"),
        (lambda: zone_wirings(replace(GOOD, coils=(FoldCoil("A", None),)), channels=2), "measure it before folding"),
    ],
)
def test_small_steps_refuse_what_they_cannot_compute(build: Callable[[], object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        build()
