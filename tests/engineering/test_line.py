"""What a line presents to its channel, what each loudspeaker gets, and what is said about it."""

import math

import pytest

from registry.engineering.cable import loss_db
from registry.engineering.line import (
    Cable,
    Channel,
    Coil,
    LineLoad,
    LineSpec,
    RatedLoad,
    String,
    constant_voltage_line,
    low_impedance_line,
)
from tests.engineering.wiring import FOOT_M, HUNDRED_WATTS, NO_CABLE, daisy_chain, strings

TWO_LOADS = Channel(rated=(RatedLoad(8.0, 100.0), RatedLoad(4.0, 160.0)))


def verdicts(line: LineLoad) -> dict[str, str]:
    return {check.code: check.verdict for check in line.checks}


def says(line: LineLoad, code: str) -> str:
    return next(check.says for check in line.checks if check.code == code)


# Practice figures: 8 Ω × n in parallel is 8; 4; 2.667; 2; 1.6; 1.333 Ω (1/Z = Σ1/Zi, OpenStax College Physics 2e).
@pytest.mark.parametrize(("count", "ohm"), [(1, 8), (2, 4), (3, 8 / 3), (4, 2), (5, 1.6), (6, 4 / 3)])
def test_loudspeakers_in_parallel_divide_the_impedance(count: int, ohm: float) -> None:
    line = low_impedance_line(strings=strings([[8.0]] * count), channel=Channel(min_load_ohm=4.0))
    assert line.impedance_ohm == pytest.approx(ohm)
    assert line.minimum_impedance_ohm == pytest.approx(0.8 * ohm)
    assert verdicts(line)["load"] == ("pass" if count <= 2 else "fail")


def test_six_in_parallel_are_refused_with_the_figures() -> None:
    line = low_impedance_line(strings=strings([[8.0]] * 6), channel=TWO_LOADS)
    assert line.verdict == "fail"
    assert line.says == "Six loudspeakers of 8 Ω in parallel load the channel with 1.33 Ω; it allows 4 Ω or more."
    assert line.outside_rating
    assert line.volts == pytest.approx(math.sqrt(4 * 160))
    assert line.caution.startswith("Do not switch this load on")


# Practice figures: six of 8 Ω as three series pairs are 5.333 Ω, each −6.02 dB; four as 2 × 2 are 8 Ω, each −6.02 dB.
@pytest.mark.parametrize(("pairs", "ohm"), [(3, 16 / 3), (2, 8.0)])
def test_series_pairs_lose_six_decibels_each(pairs: int, ohm: float) -> None:
    line = low_impedance_line(strings=strings([[8.0, 8.0]] * pairs), channel=HUNDRED_WATTS)
    assert line.impedance_ohm == pytest.approx(ohm)
    assert [coil.level_re_direct_db for coil in line.loudspeakers] == pytest.approx([-20 * math.log10(2)] * 2 * pairs)


def test_three_in_series_get_a_ninth_each() -> None:
    line = low_impedance_line(strings=strings([[8.0] * 3], rated_power_w=50.0), channel=HUNDRED_WATTS)
    assert [coil.power_w for coil in line.loudspeakers] == pytest.approx([100 / 9] * 3)
    assert [coil.level_re_direct_db for coil in line.loudspeakers] == pytest.approx([-9.542] * 3, abs=0.0005)
    assert (line.power_w, line.volts) == (pytest.approx(100 / 3), pytest.approx(math.sqrt(800)))
    assert says(line, "series") == "String 1: one open coil silences LS1, LS2 and LS3."
    assert verdicts(line) == {"load": "pass", "power": "pass", "series": "warn", "cable": "pass"}


def test_unlike_models_in_series_are_named() -> None:
    pair = (Coil("LS1", impedance_ohm=8.0, model="Make A C6"), Coil("LS2", impedance_ohm=8.0, model="Make B T2"))
    line = low_impedance_line(strings=[String("1", pair)], channel=HUNDRED_WATTS)
    assert "Make A C6 and Make B T2 are unlike" in says(line, "series")


def test_a_stereo_loudspeaker_with_both_coils_on_one_channel_halves_the_load() -> None:
    both = [String(n, (Coil("LS1", n, impedance_ohm=8.0, cable=NO_CABLE),)) for n in ("1", "2")]
    line = low_impedance_line(strings=both, channel=TWO_LOADS)
    assert line.impedance_ohm == pytest.approx(4.0)
    assert (
        says(line, "load")
        == "Two coils of 8 Ω in parallel load the channel with 4 Ω; it allows 4 Ω or more: no margin."
    )


# The table: √(100·8) = 28.28 V from 8 Ω up, √(160·4) = 25.30 V at 4 Ω, linear over 1/R between: at 16/3 Ω half-way.
@pytest.mark.parametrize(
    ("ohm", "volts", "outside"),
    [
        (16.0, math.sqrt(800), False),
        (8.0, math.sqrt(800), False),
        (16 / 3, (math.sqrt(800) + math.sqrt(640)) / 2, False),
        (4.0, math.sqrt(640), False),
        (3.0, math.sqrt(640), True),
    ],
)
def test_the_channel_gives_the_voltage_of_its_rated_loads(ohm: float, volts: float, outside: bool) -> None:
    line = low_impedance_line(strings=strings([[ohm]]), channel=TWO_LOADS)
    assert line.volts == pytest.approx(volts)
    assert line.power_w == pytest.approx(volts**2 / ohm)
    assert line.outside_rating is outside
    assert line.loudspeakers[0].level_re_direct_db == pytest.approx(0.0, abs=1e-9)


def test_a_load_that_is_allowed_but_not_rated_is_warned_about() -> None:
    channel = Channel(rated=(RatedLoad(8.0, 100.0),), min_load_ohm=4.0)
    line = low_impedance_line(strings=strings([[4.0]], rated_power_w=300.0), channel=channel)
    assert verdicts(line) == {"load": "pass", "rating": "warn", "power": "pass", "cable": "pass"}
    assert line.outside_rating
    assert line.power_w == pytest.approx(200.0)


def test_an_impedance_that_dips_below_the_usual_eighty_percent_is_warned_about() -> None:
    line = low_impedance_line(strings=strings([[4.0]], min_impedance_ohm=2.9), channel=TWO_LOADS)
    assert verdicts(line)["load"] == "warn"
    assert says(line, "load").endswith("but the impedance dips to 2.9 Ω.")


def test_a_loudspeaker_that_would_get_too_much_is_named_with_its_watts() -> None:
    line = low_impedance_line(strings=strings([[8.0]], rated_power_w=60.0), channel=HUNDRED_WATTS)
    assert verdicts(line)["power"] == "warn"
    assert "LS1 100 W (rated 60 W)" in says(line, "power")


# Practice figure: AWG 18, 100 ft one way into 4 Ω: loop 1.277 Ω, −2.41 dB, 31.9 % of the load: flag above 10 %.
def test_a_thin_cable_is_flagged() -> None:
    channel = Channel(rated=(RatedLoad(4.0, 100.0),))
    line = low_impedance_line(strings=strings([[4.0]], cable=Cable("18 AWG", 100 * FOOT_M)), channel=channel)
    assert line.impedance_ohm == pytest.approx(5.277, abs=0.0005)
    assert line.cable_loss_db == pytest.approx(2.41, abs=0.005)
    assert line.loudspeakers[0].level_re_direct_db == pytest.approx(-2.41, abs=0.005)
    assert verdicts(line)["cable"] == "warn"
    assert "31.9 %" in says(line, "cable")


def test_every_piece_of_a_series_string_counts() -> None:
    line = low_impedance_line(strings=strings([[8.0, 8.0]], cable=Cable("18 AWG", 20.0)), channel=HUNDRED_WATTS)
    loop_ohm = line.impedance_ohm - 16.0
    assert loop_ohm == pytest.approx(2 * 2 * 20.0 * 0.02095, rel=1e-3)
    assert line.cable_loss_db == pytest.approx(loss_db(load_ohm=16.0, loop_ohm=loop_ohm))


def test_a_cable_that_is_not_known_counts_as_nothing_and_is_named() -> None:
    line = low_impedance_line(strings=strings([[8.0], [8.0]], cable=Cable("18 AWG", None)), channel=TWO_LOADS)
    assert (line.impedance_ohm, line.cable_loss_db) == (4.0, None)
    assert verdicts(line)["cable"] == "unknown"
    assert "LS1 and LS2 is not known" in says(line, "cable")
    assert line.verdict == "unknown"


def test_an_unknown_impedance_is_named_and_nothing_is_guessed() -> None:
    pair = (Coil("LS1", impedance_ohm=8.0, cable=NO_CABLE), Coil("LS2", cable=NO_CABLE))
    line = low_impedance_line(strings=[String("1", pair)], channel=TWO_LOADS)
    assert (line.impedance_ohm, line.minimum_impedance_ohm, line.power_w, line.volts) == (None, None, None, None)
    assert [(coil.power_w, coil.level_re_direct_db) for coil in line.loudspeakers] == [(None, None)] * 2
    assert line.worst is None
    assert line.says == "The impedance of LS2 is not known, so the load is not either."


def test_an_unknown_impedance_does_not_hide_an_overload() -> None:
    known = strings([[8.0]] * 3)
    line = low_impedance_line(strings=[*known, String("4", (Coil("LS9"),))], channel=TWO_LOADS)
    assert (line.impedance_ohm, verdicts(line)["load"]) == (None, "fail")


def test_a_channel_without_a_rating_leaves_the_power_unknown() -> None:
    line = low_impedance_line(strings=strings([[8.0]]), channel=Channel())
    assert (line.impedance_ohm, line.power_w, line.channel_minimum_ohm, line.headroom_db) == (8.0, None, None, None)
    assert verdicts(line)["load"] == "unknown"


def test_a_tap_on_a_low_impedance_line_is_odd() -> None:
    line = low_impedance_line(strings=strings([[8.0]], tap_w=6.0), channel=HUNDRED_WATTS)
    assert verdicts(line)["tap"] == "warn"


# Practice figure: taps 2.5 + 2.5 + 5 + 10 on a 30 W amplifier are 20 W, 67 %: within 80 %.
def test_taps_add_up() -> None:
    chain = daisy_chain([2.5, 2.5, 5.0, 10.0], insertion_loss_db=0.0)
    line = constant_voltage_line(line_v=70.7, strings=[chain], channel=Channel(line_power_w={70.7: 30.0}))
    assert line.power_w == pytest.approx(20.0)
    assert line.impedance_ohm == pytest.approx(70.7**2 / 20)
    assert line.channel_minimum_ohm == pytest.approx(70.7**2 / 30)
    assert line.minimum_impedance_ohm == pytest.approx(0.8 * line.impedance_ohm)
    assert verdicts(line) == {"load": "pass", "power": "pass", "cable": "pass", "tap": "pass"}
    assert "66.7 % of the 30 W" in says(line, "load")
    assert "can shock" in line.caution


@pytest.mark.parametrize(("count", "verdict"), [(8, "pass"), (9, "warn"), (10, "warn"), (11, "fail")])
def test_a_fifth_of_the_rating_is_left_unused(count: int, verdict: str) -> None:
    chain = daisy_chain([6.0] * count, insertion_loss_db=0.0)
    line = constant_voltage_line(line_v=100, strings=[chain], channel=Channel(line_power_w={100: 60.0}))
    assert verdicts(line)["load"] == verdict, line.says


def test_insertion_loss_counts_in_the_load_and_cancels_in_the_level() -> None:
    chain = daisy_chain([6.0] * 8, insertion_loss_db=1.0)
    line = constant_voltage_line(line_v=100, strings=[chain], channel=Channel(line_power_w={100: 60.0}))
    assert says(line, "load").startswith("Eight loudspeakers ask for 60.4 W at 100 V, insertion loss included")
    assert verdicts(line)["load"] == "fail"
    assert [coil.level_re_direct_db for coil in line.loudspeakers] == pytest.approx([0.0] * 8, abs=1e-9)


def test_an_unknown_insertion_loss_counts_as_nothing_and_is_said() -> None:
    channel = Channel(line_power_w={100: 60.0})
    line = constant_voltage_line(line_v=100, strings=[daisy_chain([6.0, 6.0])], channel=channel)
    assert says(line, "load").endswith("Insertion loss is not known for 2 of 2 and counts as 0 dB.")


# Practice figure: 8 Ω across 70.7 V asks for 625 W.
def test_a_loudspeaker_without_a_transformer_is_refused_with_the_watts() -> None:
    string = String("1", (Coil("LS1", impedance_ohm=8.0, cable=NO_CABLE), Coil("LS2", tap_w=5.0, cable=NO_CABLE)))
    line = constant_voltage_line(line_v=70.7, strings=[string], channel=Channel(line_power_w={70.7: 60.0}))
    assert verdicts(line)["tap"] == "fail"
    assert says(line, "tap") == "LS1 of 8 Ω is not a transformer tap: on 70.7 V it would ask for 625 W."
    assert line.loudspeakers[0].power_w == pytest.approx(624.8, abs=0.05)
    assert verdicts(line)["load"] == "fail"


def test_a_tap_that_the_model_does_not_offer_is_warned_about() -> None:
    chain = String("1", (Coil("LS1", tap_w=6.0, taps_w=(2.5, 5.0, 10.0)),))
    line = constant_voltage_line(line_v=100, strings=[chain], channel=Channel(line_power_w={100: 60.0}))
    assert says(line, "tap") == "LS1 is recorded on 6 W, but its model offers 2.5, 5 and 10 W."


def test_an_unknown_tap_leaves_the_other_strings_known() -> None:
    unset = String("2", (Coil("LS9", impedance_ohm=8.0, taps_w=(2.5, 5.0), cable=NO_CABLE),))
    channel = Channel(line_power_w={100: 60.0})
    line = constant_voltage_line(
        line_v=100, strings=[daisy_chain([6.0], insertion_loss_db=0.0), unset], channel=channel
    )
    assert (line.impedance_ohm, line.power_w) == (None, None)
    assert [coil.power_w for coil in line.loudspeakers] == [pytest.approx(6.0), None]
    assert line.says == "The tap of LS9 is not known, so the load is not either."


def test_an_unrated_constant_voltage_channel_gives_no_watts_but_levels() -> None:
    line = constant_voltage_line(line_v=100, strings=[daisy_chain([6.0])], channel=Channel())
    assert (line.volts, line.power_w, line.loudspeakers[0].power_w) == (None, None, None)
    assert line.loudspeakers[0].level_re_direct_db == 0.0
    assert verdicts(line)["load"] == "unknown"


def test_the_far_end_of_a_daisy_chain_is_the_worst() -> None:
    chain = daisy_chain([6.0] * 10, Cable("0.75 mm2", 20.0))
    line = constant_voltage_line(line_v=100, strings=[chain], channel=Channel(line_power_w={100: 100.0}))
    levels = [coil.level_re_direct_db for coil in line.loudspeakers]
    assert levels == sorted(levels, reverse=True)
    assert line.worst.label == "LS10"
    assert line.cable_loss_db == pytest.approx(-levels[-1])
    assert line.headroom_db == pytest.approx(10 * math.log10(line.impedance_ohm / 100.0))


def test_a_chain_of_two_thousand_loudspeakers_is_solved() -> None:
    chain = daisy_chain([1.0] * 2000, Cable("2.5 mm2", 1.0))
    line = constant_voltage_line(line_v=100, strings=[chain], channel=Channel(line_power_w={100: 4000.0}))
    assert math.fsum(coil.power_w for coil in line.loudspeakers) < line.power_w < 2000.0


@pytest.mark.parametrize(
    ("wrong", "match"),
    [
        (lambda: low_impedance_line(strings=[], channel=Channel()), "at least one loudspeaker"),
        (lambda: String("1", ()), "no loudspeaker"),
        (lambda: constant_voltage_line(line_v=50, strings=[daisy_chain([6.0])], channel=Channel()), "25, 70.7, 100 V"),
        (lambda: LineSpec("50", (daisy_chain([6.0]),), Channel()), "kind must be"),
        (lambda: LineSpec("100", (daisy_chain([6.0]), daisy_chain([6.0])), Channel()), "each coil is connected once"),
        (lambda: Coil(""), "label must name"),
        (lambda: Coil("LS1", impedance_ohm=0.0), "impedance_ohm of LS1 is 0.0"),
        (lambda: Coil("LS1", tap_w=-1.0), "tap_w of LS1 is -1.0"),
        (lambda: Coil("LS1", taps_w=(2.5, 0.0)), "taps_w of LS1 is 0.0"),
        (lambda: Coil("LS1", insertion_loss_db=-1.0), "insertion_loss_db of LS1 is -1.0"),
        (lambda: RatedLoad(8.0, math.nan), "power_w is nan"),
        (lambda: Channel(rated=(RatedLoad(8.0, 100.0), RatedLoad(8.0, 120.0))), "once for each load"),
        (lambda: Channel(min_load_ohm=0.0), "min_load_ohm is 0.0"),
        (lambda: Channel(line_power_w={100: -1.0}), "line_power_w is -1.0"),
        (lambda: Cable("18", 10.0), "size must look like"),
        (lambda: Cable("18 AWG", -1.0), "length_m is -1.0"),
        (lambda: Cable(None, 1.0, ohm_per_m=0.0), "ohm_per_m is 0.0"),
    ],
)
def test_nonsense_is_refused(wrong: object, match: str) -> None:
    with pytest.raises(ValueError, match=match):
        wrong()
