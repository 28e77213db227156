"""Test signals as WAV files: pink noise and IEC 60268-1 programme noise, the same samples for the same seed."""

import io
import math
import wave
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np

from registry.engineering.bounds import in_range
from registry.engineering.weighting_curve import NOMINAL_HZ, Floats

Kind: TypeAlias = Literal["pink", "programme"]

CAUTION: Final = "Warn people nearby, start at the lowest level, no sudden full level; ear protection from 85 dB(A)."
LOWEST_HZ: Final = 20.0 * 10**-0.05  # edges of the outermost third-octave bands
HIGHEST_HZ: Final = 20000.0 * 10**0.05
FULL_SCALE: Final = 32767

PINK_CREST: Final = 4.0  # common practice: 12 dB
PROGRAMME_CREST: Final = 2.0  # IEC 60268-1 clips to 1.8 to 2.2 (from memory)

# Third-octave levels of IEC 60268-1 simulated programme re pink noise [dB], 20 Hz to 20 kHz. From memory: check against
# the standard before quoting them; its tolerance is about ±1 dB inside the band.
PROGRAMME_DB: Final = (
    -13.5, -10.2, -7.4, -5.2, -3.3, -2.0, -1.1, -0.7, -0.4, -0.2, -0.1, 0.0, 0.0, 0.0, 0.0, 0.0,
    0.0, -0.1, -0.3, -0.6, -1.0, -1.6, -2.5, -3.7, -5.1, -7.0, -9.0, -11.4, -13.9, -16.3, -18.8,
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Noise:
    """One channel of noise that loops without a seam; full scale is 1."""

    kind: Kind
    samples: Floats
    sample_rate_hz: int
    seed: int

    @property
    def rms_dbfs(self) -> float:
        """RMS re full scale, 20 lg rms; where a full-scale sine is called 0 dBFS (AES17), it is 3.01 dB more."""
        return 20 * math.log10(float(np.sqrt(np.mean(self.samples**2))))

    @property
    def crest_factor(self) -> float:
        """Peak over RMS."""
        return float(np.abs(self.samples).max() / np.sqrt(np.mean(self.samples**2)))


def pink_noise(
    duration_s: float,
    *,
    seed: int,
    rms_dbfs: float = -20.0,
    crest_factor: float = PINK_CREST,
    sample_rate_hz: int = 48000,
) -> Noise:
    """Pink noise: the same level in every third-octave band from 20 Hz to 20 kHz.

    Made from its spectrum with random phases, so it loops without a seam; peaks above the crest factor are clipped.
    Playing it can hurt: show `CAUTION` beside it.

    Parameters:
        duration_s: 1 to 300 [s].
        seed: 0 or more; the same seed gives the same samples.
        rms_dbfs: −60 to −3 dB re full scale, such that the peaks stay below it.
        crest_factor: peak over RMS, 1.8 to 6; unclipped noise has about 4.7, so more changes nothing.
        sample_rate_hz: 8000 to 192000, whole [Hz]; below 48000 the noise ends at 0.49 of it.
    Returns:
        Samples, with their RMS and crest factor as properties.
    Raises:
        ValueError: out of range, or peaks above full scale.
    Source: definition of pink noise; random numbers from PCG64's raw bits, which numpy keeps unchanged.

    >>> noise = pink_noise(2.0, seed=1)
    >>> round(noise.rms_dbfs, 2), round(noise.crest_factor, 2)
    (-20.0, 4.0)
    """
    return _noise(
        "pink",
        duration_s,
        seed=seed,
        rms_dbfs=rms_dbfs,
        crest_factor=crest_factor,
        sample_rate_hz=sample_rate_hz,
    )


def programme_noise(
    duration_s: float,
    *,
    seed: int,
    rms_dbfs: float = -20.0,
    crest_factor: float = PROGRAMME_CREST,
    sample_rate_hz: int = 48000,
) -> Noise:
    """IEC 60268-1 simulated programme: pink noise with less at both ends, clipped to about twice its RMS.

    Closer to music than pink noise and kinder to tweeters. Playing it can hurt: show `CAUTION` beside it.

    Parameters:
        duration_s: 1 to 300 [s].
        seed: 0 or more; the same seed gives the same samples.
        rms_dbfs: −60 to −3 dB re full scale, such that the peaks stay below it.
        crest_factor: peak over RMS, 1.8 to 6; the standard wants 1.8 to 2.2.
        sample_rate_hz: 8000 to 192000, whole [Hz].
    Returns:
        Samples, with their RMS and crest factor as properties.
    Raises:
        ValueError: out of range, or peaks above full scale.
    Source: IEC 60268-1 (spectrum and crest factor), from memory.

    >>> noise = programme_noise(2.0, seed=1)
    >>> round(noise.rms_dbfs, 2), round(noise.crest_factor, 2)
    (-20.0, 2.0)
    """
    return _noise(
        "programme",
        duration_s,
        seed=seed,
        rms_dbfs=rms_dbfs,
        crest_factor=crest_factor,
        sample_rate_hz=sample_rate_hz,
    )


def wav_bytes(noise: Noise) -> bytes:
    """The noise as a mono 16-bit WAV file.

    Parameters:
        noise: from `pink_noise` or `programme_noise`.
    Returns:
        The file. Two processors may differ in the last bit of a sample, so compare levels, not hashes, across machines.
    Raises:
        Nothing.
    Source: RIFF WAVE, linear PCM.

    >>> wav_bytes(pink_noise(1.0, seed=1))[:4]
    b'RIFF'
    """
    stream = io.BytesIO()
    with wave.open(stream, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(noise.sample_rate_hz)
        file.writeframes(np.round(noise.samples * FULL_SCALE).astype("<i2").tobytes())
    return stream.getvalue()


def _noise(
    kind: Kind, duration_s: float, *, seed: int, rms_dbfs: float, crest_factor: float, sample_rate_hz: int
) -> Noise:
    in_range("duration_s", duration_s, 1.0, 300.0, unit="s")
    in_range("seed", seed, 0, 2**63)
    in_range("rms_dbfs", rms_dbfs, -60.0, -3.0, unit="dBFS")
    in_range("crest_factor", crest_factor, 1.8, 6.0)
    in_range("sample_rate_hz", sample_rate_hz, 8000, 192000, unit="Hz")
    peak_dbfs = rms_dbfs + 20 * math.log10(crest_factor)
    in_range("the peak", peak_dbfs, -math.inf, 0.0, unit="dBFS", remedy="lower the RMS or the crest factor")
    count = round(duration_s * sample_rate_hz)
    frequency = np.linspace(0.0, count // 2 * sample_rate_hz / count, count // 2 + 1)
    turns = (np.random.PCG64(seed).random_raw(len(frequency)) >> np.uint64(11)) * 2.0**-53
    spectrum = _magnitude(kind, frequency, sample_rate_hz) * np.exp(2j * math.pi * turns)
    samples = _clipped(np.fft.irfft(spectrum, count), crest_factor)
    return Noise(kind, samples * 10 ** (rms_dbfs / 20), sample_rate_hz, seed)


def _magnitude(kind: Kind, frequency: Floats, sample_rate_hz: int) -> Floats:
    inside = (frequency >= LOWEST_HZ) & (frequency <= min(HIGHEST_HZ, 0.49 * sample_rate_hz))
    result: Floats = np.zeros_like(frequency)
    result[inside] = frequency[inside] ** -0.5
    if kind == "programme":
        bands = np.log(NOMINAL_HZ[NOMINAL_HZ.index(20.0) :])
        result[inside] *= 10 ** (np.interp(np.log(frequency[inside]), bands, PROGRAMME_DB) / 20)
    return result


def _clipped(samples: Floats, crest_factor: float) -> Floats:
    """An RMS of 1 and no peak above the crest factor: clipping lowers the RMS, so it takes a few rounds."""
    for _ in range(60):
        samples = samples / np.sqrt(np.mean(samples**2))
        if np.abs(samples).max() <= crest_factor * (1 + 1e-9):
            break
        samples = np.clip(samples, -crest_factor, crest_factor)
    return samples
