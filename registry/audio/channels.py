"""Whether the channel that a line is recorded on exists, on something that drives lines."""

from registry.audio.models import Line
from registry.engineering.checks import Check
from registry.equipment.models import Kind, MakeModel

MAY_DRIVE = frozenset({Kind.AMPLIFIER, Kind.ENDPOINT})


def channel_check(line: Line, model: MakeModel | None) -> Check | None:
    """Return the check "channel" where the record contradicts itself; None where nothing speaks against it."""
    if model is None:
        return None
    ratings = list(model.ratings.all())
    if not ratings and model.kind not in MAY_DRIVE:
        return Check("channel", "fail", f"{line.amplifier} is a {model.get_kind_display().lower()}: it drives no line.")
    counts = [rating.channels for rating in ratings if rating.channels]
    number = _number(line.channel)
    if counts and number is not None and not 1 <= number <= max(counts):
        word = "channel" if max(counts) == 1 else "channels"
        return Check("channel", "fail", f"{model} has {max(counts)} {word}: {line.channel} is not one of them.")
    return None


def _number(channel: str) -> int | None:
    """Return which channel a name means: 3 or C; None for a name such as left."""
    if channel.isdecimal():
        return int(channel)
    is_letter = len(channel) == 1 and channel.isascii() and channel.isalpha()
    return ord(channel.upper()) - ord("A") + 1 if is_letter else None
