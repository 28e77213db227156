"""Test signals: spectrum, RMS, crest factor, and the same samples for the same seed."""

import io
import math
import wave

import numpy as np
import pytest

from registry.engineering.signal import CAUTION, FULL_SCALE, PROGRAMME_DB, pink_noise, programme_noise, wav_bytes
from registry.engineering.weighting import Recording, third_octave_bands

BANDS = [f for f in third_octave_bands(Recording(np.ones(48000), 48000.0)) if 25 <= f <= 20000]


@pytest.fixture(scope="module")
def pink():
    return pink_noise(20.0, seed=1)


@pytest.fixture(scope="module")
def programme():
    return programme_noise(20.0, seed=1)


def bands_of(noise):
    return third_octave_bands(Recording(noise.samples, noise.sample_rate_hz, 0.0))


def read_back(data):
    with wave.open(io.BytesIO(data)) as file:
        assert (file.getnchannels(), file.getsampwidth()) == (1, 2)
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2") / FULL_SCALE, file.getframerate()


def test_pink_noise_has_the_same_level_in_every_third_octave(pink):
    levels = [bands_of(pink)[f] for f in BANDS]
    assert max(levels) - min(levels) < 0.5
    assert sum(10 ** (level / 10) for level in bands_of(pink).values()) == pytest.approx(0.01, rel=0.02)


def test_programme_noise_has_the_spectrum_of_the_standard(programme):
    # Values of IEC 60268-1 from memory; relative to the middle of the spectrum.
    wanted = dict(zip(bands_of(programme), PROGRAMME_DB, strict=True))
    got = bands_of(programme)
    for f in (31.5, 63.0, 250.0, 1000.0, 4000.0, 10000.0, 16000.0):
        assert got[f] - got[500.0] == pytest.approx(wanted[f], abs=0.6)


@pytest.mark.parametrize(("rms_dbfs", "crest"), [(-20.0, 4.0), (-12.0, 3.0), (-26.0, 1.8)])
def test_the_file_has_the_rms_and_crest_factor_that_it_states(rms_dbfs, crest):
    noise = pink_noise(2.0, seed=5, rms_dbfs=rms_dbfs, crest_factor=crest)
    samples, rate = read_back(wav_bytes(noise))
    rms = math.sqrt(np.mean(samples**2))
    assert rate == noise.sample_rate_hz == 48000
    assert 20 * math.log10(rms) == pytest.approx(rms_dbfs, abs=0.01)
    assert noise.rms_dbfs == pytest.approx(rms_dbfs, abs=1e-6)
    assert np.abs(samples).max() / rms == pytest.approx(crest, rel=0.002)
    assert noise.crest_factor == pytest.approx(crest, rel=1e-6)


def test_programme_noise_is_clipped_as_the_standard_says(programme):
    assert 1.8 <= programme.crest_factor <= 2.2


def test_the_same_seed_gives_the_same_file_and_another_does_not():
    one, again, other = (wav_bytes(pink_noise(1.0, seed=seed)) for seed in (3, 3, 4))
    assert one == again
    assert one != other


def test_a_seed_means_the_same_noise_for_years():
    # Frozen here: a change of these figures changes every reference track that a site relies on.
    assert pink_noise(1.0, seed=3).samples[:4] == pytest.approx(FROZEN, abs=1e-9)


FROZEN = (0.0154985682, 0.0652516781, 0.0513660793, 0.0591686369)


def test_it_loops_without_a_seam(pink):
    step = np.abs(np.diff(pink.samples)).max()
    assert abs(pink.samples[0] - pink.samples[-1]) <= step


def test_unclipped_noise_says_its_own_crest_factor():
    noise = pink_noise(2.0, seed=3, crest_factor=6.0)
    assert noise.crest_factor < 6.0
    assert noise.rms_dbfs == pytest.approx(-20.0)


def test_a_lower_rate_ends_the_noise_below_half_of_it():
    bands = bands_of(pink_noise(4.0, seed=1, sample_rate_hz=16000))
    assert max(bands) == 6300.0
    assert bands[6300.0] == pytest.approx(bands[1000.0], abs=0.3)


def test_the_caution_asks_for_the_lowest_level_first():
    assert "start at the lowest level" in CAUTION


@pytest.mark.parametrize(
    "bad",
    [
        {"duration_s": 0.5},
        {"duration_s": 301.0},
        {"duration_s": math.nan},
        {"seed": -1},
        {"rms_dbfs": 0.0},
        {"rms_dbfs": -10.0, "crest_factor": 4.0},
        {"crest_factor": 1.0},
        {"sample_rate_hz": 4000},
    ],
)
def test_signals_that_cannot_be_made_are_refused(bad):
    settings = {"duration_s": 1.0, "seed": 1} | bad
    with pytest.raises(ValueError, match="allowed"):
        pink_noise(settings.pop("duration_s"), **settings)
