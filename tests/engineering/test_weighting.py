"""A and C weighting: the curve of IEC 61672-1, a filter inside its class 1 limits, and what a recording holds."""

import math

import numpy as np
import pytest
from scipy import signal as scipy_signal

from registry.engineering.weighting import (
    PASCAL_DB,
    Recording,
    equivalent_level,
    percentile_levels,
    response_db,
    third_octave_bands,
    time_weighted_levels,
    weighted_level,
    weighting_db,
    weighting_filter,
)
from registry.engineering.weighting_curve import NOMINAL_HZ, POLES_HZ, exact_frequency_hz
from registry.engineering.weighting_filter import weighted_samples
from tests.engineering.reference import close, each

RATE = 48000.0
LOW, SECOND, THIRD, TOP = POLES_HZ


def tone(frequency_hz, seconds=2.0, rms=1.0, rate=RATE):
    time = np.arange(round(seconds * rate)) / rate
    return rms * math.sqrt(2) * np.sin(2 * math.pi * frequency_hz * time)


@each("weighting", "A_weighting")
def test_the_a_curve_at_the_exact_frequencies(row):
    close(row, weighting_db(exact_frequency_hz(row.inputs["f_nominal_Hz"]), "A"))


@each("weighting", "C_weighting")
def test_the_c_curve_at_the_exact_frequencies(row):
    close(row, weighting_db(exact_frequency_hz(row.inputs["f_nominal_Hz"]), "C"))


@each("weighting", "A_weighting_analytic")
def test_the_a_curve_to_four_digits(row):
    close(row, weighting_db(row.inputs["f_Hz"], "A"))


@each("weighting", "C_weighting_analytic")
def test_the_c_curve_to_four_digits(row):
    close(row, weighting_db(row.inputs["f_Hz"], "C"))


@each("weighting", "pole_frequency")
def test_the_poles(row):
    close(row, dict(zip(("f1", "f2", "f3", "f4"), POLES_HZ, strict=True))[row.inputs["pole"]])


@each("weighting", "A1000")
def test_the_a_curve_before_it_is_set_to_0_db_at_1_khz(row):
    f = 1000.0
    low = f**4 / ((f**2 + LOW**2) * math.hypot(f, SECOND) * math.hypot(f, THIRD))
    close(row, 20 * math.log10(low * TOP**2 / (f**2 + TOP**2)))


@each("weighting", "C1000")
def test_the_c_curve_before_it_is_set_to_0_db_at_1_khz(row):
    f = 1000.0
    close(row, 20 * math.log10(f**2 / (f**2 + LOW**2) * TOP**2 / (f**2 + TOP**2)))


@each("weighting", "LA_from_octaves")
def test_the_level_of_a_spectrum(row):
    bands = {float(f): level for f, level in row.inputs["octave_levels_dB"].items()}
    close(row, weighted_level(bands, "A"))


@pytest.mark.parametrize("rate", [44100.0, 48000.0])
@pytest.mark.parametrize("curve", ["A", "C"])
@each("weighting", "acceptance_limits_class1", "acceptance_limits_class2", use="bound")
def test_the_filter_is_within_the_limits(row, rate, curve):
    frequency = exact_frequency_hz(row.inputs["f_nominal_Hz"])
    low, high = row.expected
    deviation = response_db(weighting_filter(curve, rate), frequency, rate) - weighting_db(frequency, curve)
    assert (-math.inf if low is None else low) < deviation < high, row.says(deviation)


@pytest.mark.parametrize(
    ("rate", "room_db"), [(8000, 0.04), (16000, 0.04), (32000, 0.04), (44100, 0.004), (48000, 0.004), (96000, 0.004)]
)
@pytest.mark.parametrize("curve", ["A", "C"])
def test_the_filter_keeps_what_its_docstring_says(rate, room_db, curve):
    sections = weighting_filter(curve, rate)
    frequencies = np.geomspace(10, min(20000, 0.499 * rate), 400)
    _, response = scipy_signal.sosfreqz(sections, 2 * np.pi * frequencies / rate)
    wanted = [weighting_db(f, curve) for f in frequencies]
    assert np.abs(20 * np.log10(np.abs(response)) - wanted).max() < room_db
    assert response_db(sections, 1000.0, rate) == pytest.approx(0.0, abs=1e-9)


def test_a_plain_bilinear_filter_would_not_keep_them():
    zeros, poles = [0] * 4, [-2 * math.pi * f for f in (LOW, LOW, SECOND, THIRD, TOP, TOP)]
    sections = scipy_signal.zpk2sos(*scipy_signal.bilinear_zpk(zeros, poles, (2 * math.pi * TOP) ** 2, RATE))
    loss = response_db(sections, 15848.93, RATE) - response_db(sections, 1000.0, RATE) - weighting_db(15848.93)
    assert loss < -5.5


@pytest.mark.parametrize("rate", [8000, 44100, 48000, 192000])
def test_the_filter_is_stable_and_of_minimum_phase(rate):
    for section in weighting_filter("A", rate):
        assert np.abs(np.roots(section[3:])).max() < 1
        assert np.abs(np.roots(section[:3])).max() <= 1 + 1e-9


@pytest.mark.parametrize("curve", ["A", "C"])
@pytest.mark.parametrize("count", [1, 1000, 300_000])
def test_running_it_by_blocks_is_running_it_sample_by_sample(curve, count):
    samples = np.random.default_rng(1).standard_normal(count)
    wanted = scipy_signal.sosfilt(weighting_filter(curve, RATE), samples)
    assert weighted_samples(samples, RATE, curve) == pytest.approx(wanted, abs=1e-10)


@pytest.mark.parametrize("frequency", [63.0, 1000.0, 8000.0])
@pytest.mark.parametrize("curve", ["A", "C", "Z"])
def test_the_equivalent_level_of_a_tone_is_its_weighting(frequency, curve):
    recording = Recording(tone(frequency, rms=0.02), RATE)
    wanted = 60.0 + weighting_db(frequency, curve)  # 0.02 Pa is 60 dB
    assert equivalent_level(recording, curve) == pytest.approx(wanted, abs=0.05)


def test_a_calibration_only_shifts_the_level():
    samples = tone(1000.0)
    assert equivalent_level(Recording(samples, RATE, 100.0)) == pytest.approx(100.0, abs=0.01)
    assert equivalent_level(Recording(samples, RATE)) == pytest.approx(PASCAL_DB, abs=0.01)
    assert equivalent_level(Recording(np.zeros(1000), RATE)) == -math.inf


@pytest.mark.parametrize(
    ("speed", "burst_s", "wanted_db"),
    # IEC 61672-1 Table 4: reference 4 kHz toneburst responses, from memory; they are 10 lg(1 - exp(-T/τ)).
    [("fast", 1.0, 0.0), ("fast", 0.2, -1.0), ("fast", 0.05, -4.8), ("slow", 0.5, -4.1), ("slow", 0.2, -7.4)],
)
def test_the_display_follows_a_burst_as_a_meter_does(speed, burst_s, wanted_db):
    steady = tone(4000.0, seconds=4.0)
    burst = np.zeros_like(steady)
    burst[round(1.5 * RATE) : round((1.5 + burst_s) * RATE)] = steady[: round(burst_s * RATE)]
    highest = time_weighted_levels(Recording(burst, RATE), "A", speed).max()
    assert highest - equivalent_level(Recording(steady, RATE), "A") == pytest.approx(wanted_db, abs=0.1)


def test_percentile_levels_are_what_is_exceeded_for_that_share_of_time():
    loud_then_quiet = np.concatenate([tone(1000.0, seconds=3.0), tone(1000.0, seconds=7.0, rms=0.01)])
    levels = percentile_levels(Recording(loud_then_quiet, RATE, 80.0), (10.0, 50.0, 90.0))
    assert levels[10.0] == pytest.approx(80.0, abs=0.1)
    assert levels[90.0] == pytest.approx(40.0, abs=0.1)
    assert levels[10.0] >= levels[50.0] >= levels[90.0]
    half_silent = np.concatenate([tone(1000.0), np.zeros(round(20 * RATE))])
    assert percentile_levels(Recording(half_silent, RATE), (99.0,))[99.0] < -300


@pytest.mark.parametrize("nominal", [31.5, 125.0, 1000.0, 16000.0])
def test_a_tone_is_in_its_own_band(nominal):
    bands = third_octave_bands(Recording(tone(exact_frequency_hz(nominal), seconds=3.0), RATE, 70.0))
    assert bands[nominal] == pytest.approx(70.0, abs=0.05)
    assert max(level for f, level in bands.items() if f != nominal) < 45


def test_bands_add_up_to_the_whole_and_to_the_weighted_level():
    noise = np.random.default_rng(7).standard_normal(round(10 * RATE))
    noise = scipy_signal.sosfilt(scipy_signal.butter(4, [60, 10000], "band", fs=RATE, output="sos"), noise)
    recording = Recording(noise, RATE, 70.0)
    bands = third_octave_bands(recording)
    assert weighted_level(bands, "Z") == pytest.approx(equivalent_level(recording, "Z"), abs=0.1)
    assert weighted_level(bands, "A") == pytest.approx(equivalent_level(recording, "A"), abs=0.15)


def test_bands_end_where_the_recording_ends():
    assert max(third_octave_bands(Recording(tone(1000.0, rate=16000.0), 16000.0))) == 6300.0
    assert max(third_octave_bands(Recording(tone(1000.0), RATE))) == 20000.0


def test_exact_frequencies_are_base_ten():
    assert len(NOMINAL_HZ) == 34
    assert exact_frequency_hz(16000.0) == pytest.approx(15848.932)
    assert all(abs(exact_frequency_hz(f) / f - 1) < 0.01 for f in NOMINAL_HZ)


@pytest.mark.parametrize(
    "call",
    [
        lambda: weighting_db(0.0),
        lambda: weighting_db(math.nan),
        lambda: weighting_db(100.0, "B"),
        lambda: exact_frequency_hz(1001.0),
        lambda: weighted_level({}),
        lambda: weighting_filter("Z", RATE),
        lambda: weighting_filter("A", 4000.0),
        lambda: response_db(weighting_filter("A", RATE), 30000.0, RATE),
        lambda: weighted_samples(np.zeros((2, 10)), RATE, "A"),
        lambda: weighted_samples(np.array([math.nan]), RATE, "A"),
        lambda: Recording(np.zeros(0), RATE),
        lambda: Recording(np.zeros((2, 5)), RATE),
        lambda: Recording(np.zeros(5), 100.0),
        lambda: time_weighted_levels(Recording(np.zeros(100), RATE)),
        lambda: time_weighted_levels(Recording(np.zeros(60000), RATE), "A", "impulse"),
        lambda: percentile_levels(Recording(np.zeros(60000), RATE), (0.0,)),
        lambda: third_octave_bands(Recording(np.zeros(100), RATE)),
    ],
)
def test_recordings_and_curves_without_meaning_are_refused(call):
    with pytest.raises(ValueError, match="allowed"):
        call()
