"""Background, mean and uncertainty, and the verdict on a change."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.engineering.background import RULES, correct_for_background, k1_db
from registry.engineering.measure import (
    Occasion,
    compare,
    mean_and_uncertainty,
    smallest_change_db,
    without_background,
)
from tests.engineering.reference import close, each, rows

QUICK = settings(deadline=None, database=None, max_examples=150)
LEVEL = st.floats(min_value=0, max_value=130)
RULE = st.sampled_from(sorted(RULES))
HERE = Occasion("meter A", "P1", "track 1")


@each("acoustics", "K1")
def test_the_correction_is_the_published_one(row):
    close(row, k1_db(row.inputs["dL"]))


@each("acoustics", "L_corrected")
def test_the_corrected_level_is_the_published_one(row):
    level, background = row.inputs["L"], row.inputs["L_bg"]
    rule = "iso_3744" if level - background >= 6 else "iso_1996_2"
    close(row, correct_for_background(level, background, rule).level_db)


@pytest.mark.parametrize(
    ("rule", "limit", "none_from"), [("iso_3744", 6, 15), ("iso_1996_2", 3, 10), ("astm_e336", 5, 10)]
)
def test_each_rule_turns_at_its_own_differences(rule, limit, none_from):  # ACU-110 to ACU-114, information rows
    assert correct_for_background(70.0 + none_from, 70.0, rule).correction_db == 0.0
    assert correct_for_background(70.0 + none_from - 0.01, 70.0, rule).correction_db > 0.1
    assert correct_for_background(70.0 + limit, 70.0, rule).level_db == pytest.approx(70.0 + limit - k1_db(limit))
    near = correct_for_background(70.0 + limit - 0.01, 70.0, rule)
    assert (near.level_db, near.upper_bound_only, near.rule) == (None, True, rule)
    assert near.upper_bound_db == pytest.approx(70.0 + limit - 0.01 - k1_db(limit))
    assert near.note.startswith("upper bound only") and RULES[rule].name in near.note


def test_below_the_limit_no_number_is_offered_as_measured():  # on 60, off 58
    near = correct_for_background(60.0, 58.0)
    assert near.level_db is None
    assert near.upper_bound_db == pytest.approx(58.7, abs=0.05)  # ISO 3744 prints the limit as 1.3 dB
    assert without_background(mean_and_uncertainty([60.0], "2"), 58.0) is None


def test_a_background_as_loud_as_the_reading_was_not_steady():
    odd = correct_for_background(60.0, 61.0)
    assert (odd.level_db, odd.upper_bound_db) == (None, 60.0)
    assert "not steady" in odd.note


@QUICK
@given(level=LEVEL, background=LEVEL, rule=RULE)
def test_a_correction_never_raises_a_level(level, background, rule):
    result = correct_for_background(level, background, rule)
    assert result.upper_bound_db <= level
    assert result.level_db is None or result.level_db <= level
    assert result.growth >= 1


@QUICK
@given(source=LEVEL, background=LEVEL, rule=RULE)
def test_the_source_alone_is_found_again_or_stays_below_the_bound(source, background, rule):
    together = 10 * math.log10(10 ** (source / 10) + 10 ** (background / 10))
    result = correct_for_background(together, background, rule)
    neglected = k1_db(RULES[rule].none_from_db)
    assert source <= result.upper_bound_db + 1e-6
    assert result.level_db is None or result.level_db == pytest.approx(source, abs=neglected + 1e-6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: correct_for_background(math.nan, 50.0),
        lambda: correct_for_background(60.0, -math.inf),
        lambda: correct_for_background(60.0, 50.0, "iso_9999"),
        lambda: k1_db(0.0),
        lambda: mean_and_uncertainty([], "2"),
        lambda: mean_and_uncertainty([math.nan], "2"),
        lambda: mean_and_uncertainty([60.0], "3"),
        lambda: mean_and_uncertainty([60.0], "2", placing_db=-0.1),
        lambda: mean_and_uncertainty([60.0], "2", meter_half_width_db=math.inf),
        lambda: compare(mean_and_uncertainty([60.0], "2"), mean_and_uncertainty([60.0], "2"), 0.0),
        lambda: smallest_change_db(-1.0, 1.0),
    ],
)
def test_figures_without_meaning_are_refused(call):
    with pytest.raises(ValueError, match="allowed"):
        call()


@each("statistics", "mean")
def test_the_mean_of_repeated_readings(row):
    close(row, mean_and_uncertainty(row.inputs["x"], "2").level_db)


WORKED = "class2_limit_1kHz_half_width"


def worked(row):
    return mean_and_uncertainty(
        row.inputs["x"],
        "2",
        meter_half_width_db=row.inputs[WORKED],
        resolution_db=row.inputs["resolution"],
        placing_db=row.inputs["position_u"],
    )


@pytest.mark.parametrize("row", [r for r in rows("statistics", "u_combined") if WORKED in r.inputs], ids=lambda r: r.id)
def test_the_worked_example_of_a_class_2_meter(row):
    close(row, worked(row).standard_db)
    assert worked(row) == mean_and_uncertainty(row.inputs["x"], "2"), (
        "these are the values that stand unless overridden"
    )


@pytest.mark.parametrize(
    "row", [r for r in rows("statistics", "nu_effective") if WORKED in r.inputs], ids=lambda r: r.id
)
def test_its_degrees_of_freedom_justify_k_2(row):
    close(row, worked(row).effective_freedom)
    assert worked(row).k == pytest.approx(2.0, abs=0.001)


@each("statistics", "U_of_difference")
def test_the_smallest_change_that_two_readings_prove(row):
    close(row, smallest_change_db(row.inputs["u1"], row.inputs["u2"], k=row.inputs["k"]))


def test_the_same_meter_at_the_same_spot_proves_the_smallest_change():
    # With nothing but repeatability left, `compare` comes to the figure of STA-070: 2 √(0.1² + 0.1²).
    one = mean_and_uncertainty([60.0], "phone", repeatability_db=0.1, placing_db=0.0, resolution_db=0.0, occasion=HERE)
    result = compare(one, one)
    assert (result.cancelled, result.verdict) == (True, "within")
    assert result.smallest_change_db == pytest.approx(0.2828, abs=0.0005)
    assert result.case == "same meter, spot and track: the meter's fixed error cancels"


def test_a_single_reading_says_what_it_assumes():
    assert mean_and_uncertainty([60.0], None).assumed == (
        "repeatability assumed (one reading); meter class not recorded, taken as a phone"
    )
    assert mean_and_uncertainty([60.0, 60.2], "1").assumed == ""
    assert mean_and_uncertainty([60.0], None).meter_db == mean_and_uncertainty([60.0], "phone").meter_db


def test_two_readings_that_differ_are_trusted_less_than_five():
    two, five = mean_and_uncertainty([60.0, 61.0], "1"), mean_and_uncertainty([60, 61, 60, 61, 60.5], "1")
    assert two.k > five.k > 2
    assert two.expanded_db > five.expanded_db


@pytest.mark.parametrize(
    ("occasion", "reason"),
    [
        (Occasion("meter B", "P1", "track 1"), "meter another one"),
        (Occasion("meter A", "P2", "track 1"), "spot another one"),
        (Occasion("meter A", "P1", "track 2"), "track another one"),
        (Occasion(None, "P1", "track 1"), "meter not recorded"),
        (Occasion(), "meter not recorded, spot not recorded, track not recorded"),
    ],
)
def test_what_is_not_known_to_be_the_same_does_not_cancel(occasion, reason):
    then = mean_and_uncertainty([60.0, 60.1, 59.9], "2", occasion=HERE)
    now = mean_and_uncertainty([60.0, 60.1, 59.9], "2", occasion=occasion)
    result = compare(now, then)
    assert not result.cancelled
    assert result.case.startswith(reason)
    assert result.guard_db > compare(then, then).guard_db
    assert compare(mean_and_uncertainty([60.0], "2"), mean_and_uncertainty([60.0], "2")).cancelled is False


def test_a_phone_at_another_spot_cannot_call_it_out():
    then = mean_and_uncertainty([60.0], "phone")
    assert compare(mean_and_uncertainty([66.0], "phone"), then).verdict == "undecided"
    assert compare(mean_and_uncertainty([60.0], "phone"), then).verdict == "undecided"


def test_the_guard_band_decides():  # JCGM 106, 8.3
    def reading(level):
        return mean_and_uncertainty(
            [level], "2", repeatability_db=0.25, placing_db=0.0, resolution_db=0.0, occasion=HERE
        )

    guard = 2 * math.sqrt(2) * 0.25
    verdicts = [compare(reading(60 + d), reading(60), 2.0).verdict for d in (0, 2 - guard - 0.01, 2, 2 + guard + 0.01)]
    assert verdicts == ["within", "within", "undecided", "out"]
    assert compare(reading(57.2), reading(60), 2.0).verdict == "out"


ORDER = {"out": 0, "undecided": 1, "within": 2}


@QUICK
@given(
    now=st.lists(st.floats(min_value=40, max_value=90), min_size=1, max_size=4),
    tolerances=st.lists(st.floats(min_value=0.01, max_value=40), min_size=2, max_size=2),
    meter_class=st.sampled_from(["1", "2", "phone", None]),
    same=st.booleans(),
)
def test_a_wider_tolerance_never_makes_a_verdict_worse(now, tolerances, meter_class, same):
    then = mean_and_uncertainty([65.0, 65.4], "2", occasion=HERE)
    reading = mean_and_uncertainty(now, meter_class, occasion=HERE if same else None)
    narrow, wide = (compare(reading, then, tolerance) for tolerance in sorted(tolerances))
    assert ORDER[narrow.verdict] <= ORDER[wide.verdict]


@QUICK
@given(level=st.floats(min_value=40, max_value=90), true=st.floats(min_value=-1.9, max_value=1.9))
def test_no_verdict_of_out_while_the_meter_could_not_tell(level, true):
    then, now = (mean_and_uncertainty([x], "2", occasion=HERE) for x in (level, level + true))
    result = compare(now, then, 2.0)
    assert result.verdict != "out"
    assert abs(result.change_db) <= result.tolerance_db + result.guard_db


def test_taking_the_background_off_widens_what_is_random_and_keeps_the_meter():
    on = mean_and_uncertainty([60.0], "2", occasion=HERE)
    off = without_background(on, 53.0)
    share = 10**-0.7
    assert off.level_db == pytest.approx(60 - k1_db(7.0))
    assert off.repeat_db == pytest.approx(on.repeat_db * math.sqrt(1 + share**2) / (1 - share))
    assert (off.meter_db, off.occasion) == (on.meter_db, HERE)
    assert without_background(on, 40.0) == on
