"""Matching a zone: the cap and dial that give the wanted level with the dial at its default position."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from registry.engineering.background import correct_for_background
from registry.engineering.dial import DEFAULT_POSITION, Points, cap_for, dial_for, drive_db, output_percent
from registry.engineering.level import add_levels

Law: TypeAlias = Literal["linear", "audio"]
LAWS: Final[tuple[Law, ...]] = ("linear", "audio")

# Common practice: from a step this large on, two readings tell by which law a control works.
TELLING_DB: Final = 1.0
LAW_UNKNOWN: Final = "Predicted for a linear control: the next reading shows whether it is one."
LAW_FOUND: Final[dict[Law, str]] = {
    "linear": "The readings so far fit a linear control.",
    "audio": "The readings so far fit an audio taper, which is even in dB.",
}
DOUBT: Final = (
    "The level did not follow the control. Check that this dial and this cap move this zone, and that nothing else was "
    "changed between the readings."
)


@dataclass(frozen=True, slots=True)
class Heard:
    """One reading at the spot, and where the control stood; None is not recorded."""

    level_db: float
    dial: float | None
    cap: float | None
    background_db: float | None = None

    @property
    def position(self) -> float | None:
        """Where the control stood in effect: dial × cap."""
        return None if self.dial is None or not self.cap else output_percent(self.dial, self.cap)

    @property
    def alone_db(self) -> float | None:
        """The level without its background; None where the background was too near."""
        if self.background_db is None:
            return self.level_db
        return correct_for_background(self.level_db, self.background_db).level_db

    def lacking(self) -> str:
        """Say what keeps this reading from being matched with; empty when nothing does."""
        if self.dial is None or self.cap is None:
            return "Dial or cap of the last reading is not recorded: write 100 % where there is no cap."
        if not self.position:
            return "The control was off at the last reading: turn it up and read again."
        if self.background_db is not None and self.alone_db is None:
            note = correct_for_background(self.level_db, self.background_db).note
            return f"{note[0].upper()}{note[1:]}."
        return ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What to set next and what it should give; cap and dial are None when nothing can be proposed, and `says` why.

    predicted_db: the programme alone at the spot. meter_db: what the meter shows, background included. advice: what to
    do where the default position is out of reach. doubt: why the readings contradict each other.
    """

    cap: float | None
    dial: float | None
    predicted_db: float | None
    meter_db: float | None
    law: Law
    says: str
    advice: str = ""
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class _Known:
    """A reading with all that matching needs."""

    position: float
    alone_db: float


def propose(heard: Sequence[Heard], wanted_db: float, default_position: float = DEFAULT_POSITION) -> Proposal:
    """Propose cap and dial from the readings so far, oldest first: as found, then one for each trial.

    Output follows dial × cap. From the last reading the change to the wanted level leads along the control's law to a
    new position; between two readings their straight line takes the law's place. The cap puts that position at the
    default position, rounded to whole percent. Where the cap would pass 100 %, it stays at 100 % and the advice says
    what to do.

    Parameters:
        heard: at least one reading.
        wanted_db: the level wanted at the spot, without background [dB(A)].
        default_position: where the dial belongs, above 0 to 100 [%].
    Returns:
        The proposal; its law is linear until two readings tell otherwise.
    Raises:
        ValueError: no reading, or a value out of range.
    Source: common practice (30 % uncapped is a 60 % cap at 50 %; 38 % is 76 %); tapers as in engineering.dial.

    >>> found = propose([Heard(62.0, 30.0, 100.0)], 62.0)
    >>> found.cap, found.dial, found.predicted_db
    (60.0, 50.0, 62.0)
    """
    if not heard:
        raise ValueError("heard is empty: read the level as found first")
    law, doubt = law_of(heard)
    if why := heard[-1].lacking():
        return Proposal(None, None, None, None, law, why)
    known = _known(heard)
    try:
        position = _position_for(known, wanted_db, law)
    except ValueError:
        return _out_of_reach(known[-1], wanted_db, law, doubt)
    cap, dial, advice = _setting(position, default_position, law)
    predicted_db = _level_at(output_percent(dial, cap), known, law)
    background_db = heard[-1].background_db
    meter_db = predicted_db if background_db is None else add_levels([predicted_db, background_db])
    says = LAW_FOUND[law] if _steps(known) and not doubt else LAW_UNKNOWN
    return Proposal(cap, dial, predicted_db, meter_db, law, says, advice, doubt)


def law_of(heard: Sequence[Heard]) -> tuple[Law, str]:
    """Tell by which law the control works, from the newest step between readings that is large enough.

    Parameters:
        heard: readings, oldest first.
    Returns:
        "linear" or "audio", whichever comes nearer to the change that was read (linear without such a step), and why
        the readings contradict each other, or "".
    Raises:
        ValueError: a value out of range.
    Source: common practice.

    >>> law_of([Heard(50.0, 30.0, 100.0), Heard(68.0, 60.0, 100.0)])
    ('audio', '')
    """
    steps = _steps(_known(heard))
    if not steps:
        return "linear", ""
    before, after = steps[-1]
    change_db = after.alone_db - before.alone_db
    expected = {law: _change_db(before, after.position, law) for law in LAWS}
    small, large = sorted(abs(db) for db in expected.values())
    same_way = change_db * expected["linear"] > 0
    followed = same_way and small / 2 <= abs(change_db) <= large * 1.5
    nearest = min(LAWS, key=lambda law: abs(expected[law] - change_db))
    return (nearest, "") if followed else ("linear", DOUBT)


def _known(heard: Sequence[Heard]) -> list[_Known]:
    return [
        _Known(one.position, one.alone_db)
        for one in heard
        if not one.lacking() and one.position is not None and one.alone_db is not None
    ]


def _steps(known: Sequence[_Known]) -> list[tuple[_Known, _Known]]:
    """Return the steps between readings that were large enough to tell the law."""
    return [
        (one, other)
        for one, other in itertools.pairwise(known)
        if abs(_change_db(one, other.position, "linear")) >= TELLING_DB
    ]


def _change_db(one: _Known, position: float, law: Law) -> float:
    return drive_db(position, taper=law) - drive_db(one.position, taper=law)


def _position_for(known: Sequence[_Known], wanted_db: float, law: Law) -> float:
    """Where the control has to stand; ValueError where it can't reach that."""
    if points := _around(known, wanted_db):
        return dial_for(wanted_db - points[0][1], dial=points[0][0], taper=points)
    return dial_for(wanted_db - known[-1].alone_db, dial=known[-1].position, taper=law)


def _around(known: Sequence[_Known], wanted_db: float) -> Points:
    """Return the two readings next below and above the wanted level, if the control agrees with their order."""
    below = max((one for one in known if one.alone_db <= wanted_db), key=lambda one: one.alone_db, default=None)
    above = min((one for one in known if one.alone_db > wanted_db), key=lambda one: one.alone_db, default=None)
    if below is None or above is None or below.position >= above.position:
        return ()
    return ((below.position, below.alone_db), (above.position, above.alone_db))


def _setting(position: float, default_position: float, law: Law) -> tuple[float, float, str]:
    """Return cap, dial and advice that put the control at a position, in whole percent."""
    try:
        return max(1.0, float(round(cap_for(position, 100.0, default_position)))), default_position, ""
    except ValueError:
        gain_db = drive_db(position, taper=law) - drive_db(default_position, taper=law)
    advice = (
        f"At the default position, {default_position:g} %, the cap would have to be "
        f"{100 * position / default_position:.0f} %, and a cap ends at 100 %. Raise the gain before this control by "
        f"{gain_db:.1f} dB and read again, or set the default position to {math.ceil(round(position, 6)):g} % or more."
    )
    return 100.0, float(min(100, round(position))), advice


def _level_at(position: float, known: Sequence[_Known], law: Law) -> float:
    """Predict the level at a position: between two readings along their line, else from the last one by the law."""
    last = known[-1]
    ordered = sorted(known, key=lambda one: one.position)
    for low, high in itertools.pairwise(ordered):
        if low.position <= position <= high.position and low.position < high.position and low.alone_db <= high.alone_db:
            return drive_db(position, taper=((low.position, low.alone_db), (high.position, high.alone_db)))
    return last.alone_db + _change_db(last, position, law)


def _out_of_reach(last: _Known, wanted_db: float, law: Law, doubt: str) -> Proposal:
    reach_db = last.alone_db + _change_db(last, 100.0, law)
    short_db = wanted_db - reach_db
    if short_db <= 0:
        says = "The wanted level is lower than this control can go."
        return Proposal(
            None, None, None, None, law, says, "Lower the gain before this control, then read again.", doubt
        )
    says = f"Even without a cap and with the dial at 100 % the level would end {short_db:.1f} dB below the wanted one."
    advice = (
        f"Raise the gain before this control by {short_db:.1f} dB or more, choose a higher tap or a stronger channel, "
        "or agree on a lower level."
    )
    return Proposal(None, None, None, None, law, says, advice, doubt)
