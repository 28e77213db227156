"""What uncompressed audio takes of a network or a disk."""

from registry.engineering.limits import above_zero, zero_or_more


def pcm_bits_per_s(*, sample_rate_hz: float, bits: int, channels: int) -> float:
    """Bit rate of uncompressed PCM: rate × bits × channels, without the network's own headers.

    Parameters:
        sample_rate_hz: above 0 [Hz].
        bits: per sample, above 0.
        channels: above 0.
    Returns:
        Rate [bit/s].
    Raises:
        ValueError: a value out of range.
    Source: definition of linear PCM (IEC 60908 for the 44.1 kHz, 16 bit, two-channel disc; from memory).

    >>> pcm_bits_per_s(sample_rate_hz=48000, bits=24, channels=2)
    2304000
    """
    above_zero(sample_rate_hz=sample_rate_hz, bits=bits, channels=channels)
    return sample_rate_hz * bits * channels


def pcm_bytes(*, sample_rate_hz: float, bits: int, channels: int, seconds: float) -> float:
    """Size of uncompressed PCM: bit rate × time / 8, without file headers.

    Parameters:
        sample_rate_hz, bits, channels: as for `pcm_bits_per_s`.
        seconds: 0 or more [s].
    Returns:
        Size [byte].
    Raises:
        ValueError: a value out of range.
    Source: as `pcm_bits_per_s`.

    >>> pcm_bytes(sample_rate_hz=44100, bits=16, channels=2, seconds=1)
    176400.0
    """
    zero_or_more(seconds=seconds)
    return pcm_bits_per_s(sample_rate_hz=sample_rate_hz, bits=bits, channels=channels) * seconds / 8
