"""Ratios, sums, means, distance and power: against published tables and worked examples."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.engineering.level import (
    add_coherent_levels,
    add_levels,
    amplitude_ratio,
    db_of_amplitude,
    db_of_power,
    distance_change_db,
    level_at,
    mean_level,
    power_needed_w,
    power_ratio,
)
from registry.engineering.units import read_quantity
from tests.engineering.reference import close, each

QUICK = settings(deadline=None, database=None, max_examples=150)
LEVELS = st.lists(st.floats(min_value=-20, max_value=130), min_size=1, max_size=8)


@each("level_dial_and_decibels", "dB_of_amplitude_ratio")
def test_amplitude_ratios_in_db(row):
    close(row, db_of_amplitude(row.inputs["ratio"]))


@each("level_dial_and_decibels", "dB_of_power_ratio")
def test_power_ratios_in_db(row):
    close(row, db_of_power(row.inputs["ratio"]))


@each("level_dial_and_decibels", "amplitude_ratio_of_dB")
def test_amplitude_ratios_from_db(row):
    close(row, amplitude_ratio(row.inputs["dB"]))


@each("level_dial_and_decibels", "dB_sum")
def test_stages_in_a_chain_add_their_db(row):
    close(row, sum(db_of_power(ratio) for ratio in row.inputs["stages_power_ratio"]))


@each("acoustics", "level_change_distance")
def test_the_same_distance_changes_nothing(row):
    close(row, distance_change_db(row.inputs["d_ref"], row.inputs["d"]))


@each("acoustics", "intensity_fraction_distance")
def test_three_times_as_far_is_a_ninth(row):
    close(row, power_ratio(distance_change_db(row.inputs["d_ref"], row.inputs["d"])))


@each("acoustics", "loss_over_distance")
def test_the_loss_over_a_distance(row):
    close(row, -distance_change_db(1.0, row.inputs["d_ft"] / row.inputs["ft_per_m"]))


@each("acoustics", "SPL_at_distance")
def test_the_level_at_a_distance(row):
    given_inputs = row.inputs
    distance = read_quantity(f"{given_inputs['d_ft']} ft", "m") if "d_ft" in given_inputs else given_inputs["d_m"]
    sensitivity = given_inputs.get("L_1m", given_inputs.get("sens"))
    close(row, level_at(sensitivity, given_inputs.get("P", 1.0), distance))


@each("acoustics", "SPL_1m")
def test_the_level_at_one_metre(row):
    close(row, level_at(row.inputs["sens"], row.inputs["P"], 1.0))


@each("acoustics", "P_needed")
def test_the_power_for_a_level(row):
    wanted = row.inputs
    close(row, power_needed_w(wanted["L_target"], sensitivity_db=wanted["sens"], distance_m=wanted["d_m"]))


@each("acoustics", "dL_power")
def test_one_tap_down(row):
    close(row, db_of_power(row.inputs["P2"] / row.inputs["P1"]))


@each("acoustics", "dL_intensity_ratio")
def test_ten_times_the_intensity(row):
    close(row, db_of_power(row.inputs["ratio"]))


@each("acoustics", "intensity_ratio")
def test_intensity_from_db(row):
    close(row, power_ratio(row.inputs["dL"]))


@each("acoustics", "L_of_n_equal")
def test_equal_sources(row):
    close(row, add_levels([row.inputs["L"]] * row.inputs["n"]))


@each("acoustics", "L_times_factor")
def test_a_fifth_of_the_sound(row):
    close(row, row.inputs["L"] + db_of_power(row.inputs["factor"]))


@each("acoustics", "L_from_pressure_amplitude")
def test_intensity_level_of_a_pressure_wave(row):
    wave = row.inputs
    intensity = wave["dp_Pa"] ** 2 / (2 * wave["rho"] * wave["c"])
    close(row, db_of_power(intensity / 1e-12))


@each("acoustics", "addition_correction")
def test_what_the_quieter_source_adds(row):
    close(row, add_levels([80.0, 80.0 - row.inputs["difference_dB"]]) - 80.0)


@each("acoustics", "L_sum")
def test_sums_of_levels(row):
    close(row, add_levels(row.inputs["L"]))


@each("acoustics", "L_sum_coherent")
def test_sums_in_phase(row):
    close(row, add_coherent_levels(row.inputs["L"]))


@each("acoustics", "Leq")
def test_the_equivalent_level_of_periods(row):
    close(row, mean_level(row.inputs["L"], durations=row.inputs["minutes"]))


@each("acoustics", "L_energy_mean")
def test_the_energy_mean(row):
    close(row, mean_level(row.inputs["L"]))


@QUICK
@given(levels=LEVELS)
def test_a_sum_lies_between_the_loudest_and_all_as_loud_as_it(levels):
    loudest, room = max(levels), 1e-9
    assert loudest - room <= add_levels(levels) <= loudest + 10 * math.log10(len(levels)) + room
    assert add_levels(levels) <= add_coherent_levels(levels) + room
    assert min(levels) - room <= mean_level(levels) <= loudest + room


@QUICK
@given(level=st.floats(min_value=-100, max_value=100))
def test_ratios_and_db_are_inverse(level):
    assert db_of_power(power_ratio(level)) == pytest.approx(level, abs=1e-9)
    assert db_of_amplitude(amplitude_ratio(level)) == pytest.approx(level, abs=1e-9)


def test_silence_adds_nothing():
    assert add_levels([60.0, -math.inf]) == 60.0
    assert add_levels([-math.inf]) == -math.inf
    assert mean_level([60.0, 80.0], durations=[1.0, 0.0]) == 60.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: db_of_amplitude(0.0),
        lambda: db_of_power(-1.0),
        lambda: db_of_power(math.inf),
        lambda: amplitude_ratio(math.nan),
        lambda: add_levels([]),
        lambda: add_levels([math.nan]),
        lambda: add_levels([math.inf]),
        lambda: mean_level([]),
        lambda: mean_level([60.0], durations=[1.0, 2.0]),
        lambda: mean_level([60.0], durations=[0.0]),
        lambda: mean_level([60.0], durations=[-1.0]),
        lambda: level_at(90.0, 0.0, 1.0),
        lambda: level_at(90.0, 1.0, 0.0),
        lambda: level_at(math.nan, 1.0, 1.0),
        lambda: distance_change_db(0.0, 1.0),
        lambda: power_needed_w(math.inf, sensitivity_db=90.0, distance_m=1.0),
    ],
)
def test_figures_without_meaning_are_refused(call):
    with pytest.raises(ValueError, match="allowed"):
        call()
