"""How long equipment is usually of use, where its own model says nothing: one table, each figure with its source.

Planning figures, never a promise. The life that a tax office allows for is another thing and is not used.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

Basis = Literal["published", "estimate", "common practice", "recorded"]
NETWORK_AMPLIFIER: Final = "network amplifier"


@dataclass(frozen=True, slots=True)
class UsefulLife:
    """Years of use, what the figure rests on, and the words of its source."""

    years: float
    basis: Basis
    source: str


LIVES: Final[Mapping[str, UsefulLife]] = {
    "loudspeaker": UsefulLife(15, "published", "a consultant's nominal 15 years for announcement systems"),
    "amplifier": UsefulLife(12, "published", "median of about 10 years for audio equipment, rack equipment up to 20"),
    NETWORK_AMPLIFIER: UsefulLife(6, "published", "networked audio follows the turn-over of computers, 6 to 7 years"),
    "endpoint": UsefulLife(6, "published", "networked audio follows the turn-over of computers, 6 to 7 years"),
    "source": UsefulLife(10, "published", "median of about 10 years for audio equipment"),
    "switch": UsefulLife(8, "published", "a published replacement policy"),
    "ups": UsefulLife(4, "published", "a published replacement policy; its battery lasts 3 to 4 years"),
}
OWN: Final = "recorded for this model"


def useful_life(kind: str, *, own_years: float | None = None) -> UsefulLife | None:
    """Return the useful life of a piece of equipment: its model's own, else that of its kind.

    Parameters:
        kind: a word of `LIVES`; other kinds have no figure.
        own_years: what is recorded for the model, above 0, or None.
    Returns: years with their source; None when nothing is known.
    Raises: ValueError for own years that are not above 0.
    Source: the words beside each figure in `LIVES`; which bodies published them is from memory.

    >>> useful_life("ups").years, useful_life(NETWORK_AMPLIFIER).years, useful_life("other")
    (4, 6, None)
    >>> useful_life("ups", own_years=5).basis
    'recorded'
    """
    if own_years is not None:
        if not own_years > 0:
            raise ValueError(f"useful life must be above 0 years, or None when it is not known; got {own_years}")
        return UsefulLife(own_years, "recorded", OWN)
    return LIVES.get(kind)
