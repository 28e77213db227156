"""Allowed time and dose: the published tables of NIOSH and OSHA."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.engineering.exposure import (
    allowed_hours,
    dose_of_times,
    dose_percent,
    exposure_caution,
    osha_table_hours,
    time_weighted_average_db,
)
from tests.engineering.reference import close, each, matches, rows


@each("noise_exposure", "T_allowed_NIOSH")
def test_the_time_that_niosh_recommends(row):
    close(row, 60 * allowed_hours(row.inputs["L_dBA"], "niosh"))


@each("noise_exposure", "T_allowed_OSHA_G16")
def test_the_time_of_the_printed_osha_table(row):
    close(row, osha_table_hours(row.inputs["L_dBA"]))


@each("noise_exposure", "T_ref_OSHA_G16A")
def test_the_reference_duration_of_osha(row):
    close(row, allowed_hours(row.inputs["L_dBA"], "osha"))


@each("noise_exposure", "T_allowed_NIOSH", use="trap")
def test_a_misprint_for_niosh_is_not_reproduced(row):
    minutes = 60 * allowed_hours(row.inputs["L_dBA"], "niosh")
    assert not matches(row, minutes)
    assert minutes == pytest.approx(18 + 54 / 60, abs=1 / 60)


@each("noise_exposure", "T_ref_OSHA_G16A", use="trap")
def test_a_misprint_for_osha_is_not_reproduced(row):
    hours = allowed_hours(row.inputs["L_dBA"], "osha")
    assert not matches(row, hours)
    assert hours == pytest.approx(21.1, abs=0.05)


@pytest.mark.parametrize(
    "row", [r for r in rows("noise_exposure", "dose_OSHA") if "T_table" in r.inputs], ids=lambda r: r.id
)
def test_the_dose_with_a_time_from_the_table(row):
    close(row, dose_of_times([(row.inputs["hours"], row.inputs["T_table"])]))


@pytest.mark.parametrize(
    "row", [r for r in rows("noise_exposure", "dose_OSHA") if "exposures" in r.inputs], ids=lambda r: r.id
)
def test_the_dose_of_a_day_by_osha(row):
    close(row, dose_percent([(level, hours) for level, hours in row.inputs["exposures"]], "osha"))


@each("noise_exposure", "dose_NIOSH")
def test_the_dose_of_a_day_by_niosh(row):
    close(row, dose_percent([(level, hours) for level, hours in row.inputs["exposures"]], "niosh"))


@each("noise_exposure", "TWA_from_dose")
def test_the_average_that_a_dose_means(row):
    close(row, time_weighted_average_db(row.inputs["D_percent"], "osha"))


@settings(deadline=None, database=None, max_examples=100)
@given(level=st.floats(min_value=80, max_value=130), rule=st.sampled_from(["niosh", "osha"]))
def test_eight_hours_at_a_level_average_to_that_level(level, rule):
    assert time_weighted_average_db(dose_percent([(level, 8.0)], rule), rule) == pytest.approx(level)


def test_what_is_below_80_db_is_not_counted():
    assert dose_percent([(79.9, 8.0)]) == 0.0
    assert dose_percent([(80.0, 8.0)]) > 30


def test_between_two_printed_levels_the_shorter_time_holds():
    assert osha_table_hours(90.1) == 6.0
    assert osha_table_hours(89.9) is None


@pytest.mark.parametrize(("level", "shown"), [(None, False), (79.9, False), (80.0, True), (101.0, True)])
def test_the_caution_stands_beside_80_db_and_more(level, shown):
    caution = exposure_caution(level)
    assert (caution is not None) is shown
    assert not shown or "competent person" in caution


@pytest.mark.parametrize(
    "call",
    [
        lambda: allowed_hours(math.nan),
        lambda: allowed_hours(141.0),
        lambda: allowed_hours(131.0, "osha"),
        lambda: allowed_hours(90.0, "iso"),
        lambda: osha_table_hours(115.1),
        lambda: dose_percent([(90.0, 25.0)]),
        lambda: dose_percent([(90.0, 13.0), (91.0, 13.0)]),
        lambda: dose_percent([(90.0, -1.0)]),
        lambda: dose_of_times([(1.0, 0.0)]),
        lambda: time_weighted_average_db(0.0),
        lambda: exposure_caution(math.nan),
    ],
)
def test_figures_without_meaning_are_refused(call):
    with pytest.raises(ValueError, match="allowed"):
        call()
