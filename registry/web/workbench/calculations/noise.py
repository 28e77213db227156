"""Noise for measuring levels, as a file with known level and crest factor."""

import hashlib
from functools import lru_cache, partial

from registry.engineering.level import amplitude_ratio, db_of_amplitude
from registry.engineering.signal import CAUTION, PINK_CREST, PROGRAMME_CREST, pink_noise, programme_noise, wav_bytes
from registry.engineering.streams import pcm_bytes
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.declaring import Answer, Calculation, Download, Input, InputError, Result, Term
from registry.web.workbench.kinds import Choice, Number, Quantity, Whole
from registry.web.workbench.showing import db

RATE_HZ = 48_000
BITS = 16
NOTES = (
    "Mono, 48 kHz, 16 bit; it loops without a seam, and the same number gives the same samples.",
    "The same SHA-256 is the same file, wherever it lies.",
)


def noise_signal(*, kind: str, seconds: float, rms: float, crest: float | None, seed: int) -> Answer:
    """Tell what the file holds. It is made for its SHA-256, and kept a while for who fetches it next."""
    peak_over_rms = crest or (PINK_CREST if kind == "pink" else PROGRAMME_CREST)
    peak = rms + db_of_amplitude(peak_over_rms)
    if peak > 0:
        raise InputError("rms", f"peaks would be at {db(peak)} dBFS: allowed is 0; lower the RMS or the crest factor")
    size = pcm_bytes(sample_rate_hz=RATE_HZ, bits=BITS, channels=1, seconds=seconds)
    words = "pink noise" if kind == "pink" else "IEC 60268-1 programme noise"
    make = partial(_wav, kind, seconds, rms=rms, crest=peak_over_rms, seed=seed)
    return Answer(
        says=f"{figure(seconds)} s of {words} at {db(rms)} dBFS, peaks at {db(peak)} dBFS.",
        results=(
            Result("rms_dbfs", "RMS", rms, "dBFS"),
            Result("crest_factor", "Peak over RMS", peak_over_rms),
            Result("peak_dbfs", "Peaks", peak, "dBFS"),
            Result("peak_of_full_scale", "Peaks, full scale is 1", amplitude_ratio(peak)),
            Result("bytes", "Size of the samples", size, "byte"),
            Result("sha256", "SHA-256 of the file", hashlib.sha256(make()).hexdigest()),
        ),
        formula=(
            Term("Peaks", f"RMS + 20 lg crest = {db(rms)} + 20 lg {figure(peak_over_rms)} = {db(peak)} dBFS"),
            Term("Size", f"{figure(seconds)} s × {RATE_HZ} Hz × {BITS} bit / 8 = {figure(size)} byte"),
        ),
        cautions=(CAUTION, CAUTIONS["hearing"]),
        download=Download(
            filename=f"{kind}-noise-{seconds:g}s-{abs(rms):g}dB-under-full-scale.wav",
            content_type="audio/wav",
            words="Download the WAV file",
            make=make,
        ),
        notes=NOTES,
    )


@lru_cache(maxsize=4)  # of 3 MB each
def _wav(kind: str, seconds: float, *, rms: float, crest: float, seed: int) -> bytes:
    make = pink_noise if kind == "pink" else programme_noise
    return wav_bytes(make(seconds, seed=seed, rms_dbfs=rms, crest_factor=crest, sample_rate_hz=RATE_HZ))


NOISE_SIGNAL = Calculation(
    name="noise-signal",
    title="Noise to measure with",
    question="Which file gives the same level at every visit?",
    inputs=(
        Input(
            name="kind",
            label="Noise",
            kind=Choice({"pink": "pink noise", "programme": "IEC 60268-1 programme noise, closer to music"}),
            default="pink",
            example="pink",
        ),
        Input(
            name="seconds",
            label="Length",
            kind=Quantity(unit="s", low=1, high=30),
            default="20",
            example="20 s",
            help="It loops without a seam, so a short file plays for as long as you like.",
        ),
        Input(
            name="rms",
            label="RMS against full scale, in dBFS",
            kind=Number(low=-60, high=-6, unit="dBFS"),
            default="-20",
            example="-20",
        ),
        Input(
            name="crest",
            label="Peak over RMS",
            kind=Number(low=1.8, high=6),
            default="",
            example="",
            help="Left empty: 4 for pink noise, 2 for programme noise.",
        ),
        Input(name="seed", label="Number of the noise", kind=Whole(high=999_999), default="1", example="1"),
    ),
    compute=noise_signal,
    source="Definition of pink noise; IEC 60268-1 (spectrum and crest factor, from memory); RIFF WAVE, linear PCM.",
)
