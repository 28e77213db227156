"""A measured impedance is judged by ±20 % and by the 1/(N − 1) rule, and dangerous loads fail."""

import math

import pytest

from registry.engineering.line import (
    Channel,
    Coil,
    LineLoad,
    RatedLoad,
    String,
    constant_voltage_line,
    low_impedance_line,
)
from registry.planning.impedance import change_since, judge, rise_of_lost

# Derived: one of N equal parallel loads open raises the impedance by 1/(N − 1).
RISE = {2: 100.0, 4: 33.3, 6: 20.0, 8: 14.3, 12: 9.1, 20: 5.3}


def parallel(count: int, ohm: float = 8.0, *, channel: Channel | None = None) -> LineLoad:
    strings = [String(str(n), (Coil(f"LS{n}", impedance_ohm=ohm),)) for n in range(1, count + 1)]
    return low_impedance_line(strings=strings, channel=channel or Channel())


@pytest.mark.parametrize(("count", "percent"), RISE.items())
def test_one_lost_of_n_raises_the_impedance_by_one_over_n_minus_one(count: int, percent: float) -> None:
    assert round(100 * rise_of_lost(count), 1) == percent
    whole, broken = parallel(count).impedance_ohm, parallel(count - 1).impedance_ohm
    assert whole is not None
    assert broken is not None
    assert broken / whole - 1 == pytest.approx(rise_of_lost(count))


@pytest.mark.parametrize(("count", "lost"), [(2, 1), (3, 1), (4, 1), (4, 2), (5, 3), (8, 3), (12, 4), (20, 9)])
def test_the_number_of_lost_loudspeakers_is_named(count: int, lost: int) -> None:
    measured = parallel(count - lost).impedance_ohm
    assert measured is not None
    judged = judge(measured, 1000.0, parallel(count))
    assert judged.verdict == "warn"
    assert f"{lost} of {count} loudspeakers lost would explain it" in judged.says


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.81, "pass"), (1.0, "pass"), (1.19, "pass"), (1.21, "warn"), (0.79, "warn"), (2.0, "warn")]
)
def test_twenty_percent_either_way_is_allowed(share: float, verdict: str) -> None:
    assert judge(share * 2.0, 1000.0, parallel(4)).verdict == verdict  # common practice: ±20 %


@pytest.mark.parametrize("count", [6, 8, 12, 20])
def test_a_reading_that_fits_says_where_it_could_not_have_shown_a_lost_one(count: int) -> None:
    judged = judge(8.0 / count, 1000.0, parallel(count))
    assert judged.verdict == "pass"
    assert f"raise it by {RISE[count]:.0f} %, which ±20 % can't show" in judged.says


def test_up_to_five_a_lost_one_would_have_shown() -> None:
    assert "can't show" not in judge(1.6, 1000.0, parallel(5)).says


def test_on_a_line_of_strings_strings_are_counted() -> None:
    pairs = [String(str(n), (Coil(f"A{n}", impedance_ohm=8.0), Coil(f"B{n}", impedance_ohm=8.0))) for n in range(3)]
    load = low_impedance_line(strings=pairs, channel=Channel())
    assert "1 of 3 strings lost would explain it" in judge(8.0, 1000.0, load).says
    # One shorted coil: 16 ∥ 16 ∥ 8 = 4 Ω.
    assert "any one of 6 coils shorted" in judge(4.0, 1000.0, load).says


def test_on_unequal_taps_the_loudspeaker_is_named() -> None:
    taps = (20.0, 10.0, 2.5)
    coils = tuple(Coil(f"LS{n}", tap_w=watts) for n, watts in enumerate(taps))
    strings = [String(str(n), (coil,)) for n, coil in enumerate(coils)]
    load = constant_voltage_line(line_v=100.0, strings=strings, channel=Channel(line_power_w={100.0: 60.0}))
    # V²/P: 32.5 W is 308 Ω; without the 20 W one 12.5 W is 800 Ω, without the 10 W one 22.5 W is 444 Ω.
    assert "LS0 open" in judge(800.0, 330.0, load).says
    assert "LS1 open" in judge(444.0, 330.0, load).says
    assert "No single fault explains it" in judge(4000.0, 330.0, load).says


def test_a_loudspeaker_without_transformer_is_suspected_on_a_line_of_hundreds_of_ohms() -> None:
    coils = tuple(Coil(f"LS{n}", tap_w=10.0) for n in range(3))
    load = constant_voltage_line(line_v=70.7, strings=[String("1", coils)], channel=Channel(line_power_w={70.7: 120.0}))
    judged = judge(8.0, 1000.0, load)
    assert judged.verdict == "fail"
    assert "without transformer" in judged.says
    assert "don't connect" in judged.says


FOUR_OHMS = Channel((RatedLoad(4.0, 70.0),), min_load_ohm=4.0)


@pytest.mark.parametrize(
    ("ohm", "verdict", "says"),
    [
        (4.1, "pass", "4.1 Ω at 1000 Hz against 4 Ω computed, +2 %"),
        (3.5, "warn", "whether that is a nominal load or the lowest one"),
        (3.1, "fail", "don't connect this line"),  # below 80 % of what the channel allows (IEC 60268-5, as restated)
        (0.1, "fail", "a short"),
        (math.inf, "fail", "The line is open"),
    ],
)
def test_a_load_below_what_the_channel_allows_is_not_connected(ohm: float, verdict: str, says: str) -> None:
    judged = judge(ohm, 1000.0, parallel(2, channel=FOUR_OHMS))
    assert judged.verdict == verdict
    assert says in judged.says


def test_a_dc_resistance_is_no_impedance() -> None:
    judged = judge(6.4, 0.0, parallel(1))  # common practice: a coil of 8 Ω reads 6 to 7 Ω at DC
    assert judged.verdict == "unknown"
    assert "6 to 7 Ω" in judged.says


def test_without_a_computed_value_there_is_no_verdict_but_a_dangerous_load_still_fails() -> None:
    unknown = low_impedance_line(strings=[String("1", (Coil("LS1"),))], channel=FOUR_OHMS)
    assert judge(8.0, 1000.0, None).verdict == "unknown"
    assert judge(8.0, 1000.0, unknown).verdict == "unknown"
    assert judge(2.0, 1000.0, unknown).verdict == "fail"


def test_against_the_measurement_before_ten_percent_is_allowed() -> None:
    # Common practice: supervised lines watch about ±10 %.
    assert change_since(8.7, 8.0) == "+9 %"
    assert change_since(8.9, 8.0) == "+11 %, more than ±10 %"
    assert change_since(7.0, 8.0) == "−12 %, more than ±10 %"


@pytest.mark.parametrize("bad", [-1.0, math.nan, -math.inf])
def test_no_impedance_is_negative_or_nothing(bad: float) -> None:
    with pytest.raises(ValueError, match="measured_ohm"):
        judge(bad, 1000.0, None)
