"""Spread, t-factors, combination: against NIST TN 1297, the GUM's examples, and scipy."""

import math
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from registry.engineering.uncertainty import (
    combined,
    deviation_of_mean,
    effective_freedom,
    interval_of_mean,
    rectangular,
    relative_uncertainty_of_deviation,
    t_factor,
)
from tests.engineering.reference import close, each, rows

QUICK = settings(deadline=None, database=None, max_examples=60)


@each("statistics", "t_factor")
def test_the_t_factor_is_the_printed_one(row):
    close(row, t_factor(row.inputs["nu"], row.inputs["p"]))


@QUICK
@given(freedom=st.floats(min_value=1, max_value=1e7), coverage=st.floats(min_value=0.01, max_value=0.9999))
def test_the_t_factor_is_that_of_scipy(freedom, coverage):
    assert t_factor(freedom, coverage) == pytest.approx(stats.t.ppf((1 + coverage) / 2, freedom), rel=1e-9)


@pytest.mark.parametrize("freedom", [1999.9, 2000.1, 7540.0, math.inf])
def test_many_degrees_of_freedom_join_the_normal_distribution(freedom):
    wanted = stats.t.ppf(0.97725, freedom)
    assert t_factor(freedom, 0.9545) == pytest.approx(wanted, rel=1e-10)


def test_k_is_two_for_many_readings():  # JCGM 100 G.1.3
    assert t_factor(math.inf) == pytest.approx(2.0, abs=0.0005)


@pytest.mark.parametrize(("freedom", "coverage"), [(0.5, 0.95), (math.nan, 0.95), (5, 0.0), (5, 1.0), (5, math.nan)])
def test_t_factors_without_meaning_are_refused(freedom, coverage):
    with pytest.raises(ValueError, match="allowed"):
        t_factor(freedom, coverage)


@each("statistics", "relative_uncertainty_of_s")
def test_a_standard_deviation_is_uncertain_too(row):
    close(row, relative_uncertainty_of_deviation(row.inputs["n"]))


PLAIN_FREEDOM = [row for row in rows("statistics", "nu_effective") if "nu" in row.inputs]


@pytest.mark.parametrize("row", PLAIN_FREEDOM, ids=lambda row: row.id)
def test_degrees_of_freedom_combine_as_welch_and_satterthwaite_say(row):
    freedoms = [math.inf if nu is None else nu for nu in row.inputs["nu"]]
    close(row, effective_freedom(row.inputs["u"], freedoms))


PLAIN_PARTS = [row for row in rows("statistics", "u_combined") if "u" in row.inputs]


@pytest.mark.parametrize("row", PLAIN_PARTS, ids=lambda row: row.id)
def test_independent_uncertainties_add_as_squares(row):
    close(row, combined(row.inputs["u"]))


@each("statistics", "u_combined_correlated")
def test_uncertainties_that_move_together_add_up(row):
    close(row, combined(row.inputs["u"], correlation=row.inputs["r"]))


@each("statistics", "u_rectangular")
def test_a_limit_is_a_rectangular_distribution(row):
    close(row, rectangular(row.inputs["half_width"]))


@each("statistics", "u_typeA")
def test_the_mean_of_readings_of_a_known_spread(row):
    assert row.inputs["n"] == 5
    shape = [-2.0, -1.0, 0.0, 1.0, 2.0]
    readings = [x * row.inputs["s"] / statistics.stdev(shape) for x in shape]
    close(row, deviation_of_mean(readings))


@each("statistics", "u_typeA_of_mean")
def test_the_spread_of_the_mean(row):
    close(row, deviation_of_mean(row.inputs["x"]))


@each("statistics", "s_sample")
def test_the_spread_of_the_readings(row):
    close(row, deviation_of_mean(row.inputs["x"]) * math.sqrt(len(row.inputs["x"])))


@each("statistics", "U95_typeA_only")
def test_a_few_readings_widen_the_interval(row):
    readings = row.inputs["x"]
    close(row, t_factor(len(readings) - 1, 0.95) * deviation_of_mean(readings))


@each("statistics", "CI95_of_mean")
def test_the_confidence_interval_of_a_mean(row):
    close(row, interval_of_mean(row.inputs["mean"], row.inputs["s"], count=row.inputs["n"], coverage=0.95))


@pytest.mark.parametrize(
    "call",
    [
        lambda: rectangular(-1.0),
        lambda: rectangular(math.inf),
        lambda: deviation_of_mean([70.0]),
        lambda: deviation_of_mean([70.0, math.nan]),
        lambda: combined([-0.1]),
        lambda: combined([0.1], correlation=1.5),
        lambda: effective_freedom([0.1], [0.0]),
        lambda: effective_freedom([0.1], []),
        lambda: effective_freedom([0.1], [math.nan]),
        lambda: relative_uncertainty_of_deviation(1),
        lambda: interval_of_mean(0.0, 1.0, count=1),
    ],
)
def test_figures_without_meaning_are_refused(call):
    with pytest.raises(ValueError, match=r"allowed|needs at least"):
        call()
