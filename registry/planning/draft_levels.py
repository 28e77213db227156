"""A first cap and dial for an amplifier whose level is planned: a draft, which commissioning corrects by readings."""

from collections.abc import Iterable
from dataclasses import dataclass

from registry.engineering.dial import DEFAULT_POSITION, cap_for, output_percent
from registry.engineering.folding import drive_of_volts_db
from registry.engineering.level import amplitude_ratio
from registry.engineering.wording import figure
from registry.planning.surroundings import MeasuredDrive

FULL = 100.0


@dataclass(frozen=True, slots=True)
class DraftLevel:
    """Cap and dial in % (None: they can't be told, or a cap can't give it), and how they come about."""

    cap: float | None
    dial: float
    says: str


def draft_level(
    level_db: float,
    *,
    model: str,
    full_db: float | None,
    drives: Iterable[MeasuredDrive],
    position: float | None,
) -> DraftLevel:
    """Return the cap with which the dial at its default position gives a level in dB re 2.83 V.

    It starts from a channel of the same model at this site whose volts were read with a known dial and cap, the one
    nearest in level; else from the channel's rated output less the headroom of programme. Both by the linear law.
    """
    dial = position or DEFAULT_POSITION
    at, says = _position_for(level_db, model=model, full_db=full_db, drives=drives)
    if at is None:
        return DraftLevel(None, dial, says)
    if at > FULL:
        return DraftLevel(
            None, dial, f"{says}: it would take {figure(at)} %, and a control ends at 100 %; raise the source"
        )
    try:
        cap = cap_for(at, FULL, dial)
    except ValueError as error:
        return DraftLevel(None, dial, f"{says}: {error}")
    return DraftLevel(round(cap, 1), dial, f"{says}; linear law, to be corrected by a reading")


def _position_for(
    level_db: float, *, model: str, full_db: float | None, drives: Iterable[MeasuredDrive]
) -> tuple[float | None, str]:
    """Position of the uncapped control in %, which may lie above 100, and where it comes from."""
    same = [drive for drive in drives if drive.model == model]
    if same:
        nearest = min(same, key=lambda drive: abs(drive_of_volts_db(drive.volts) - level_db))
        there_db = drive_of_volts_db(nearest.volts)
        at = output_percent(nearest.dial, nearest.cap) * amplitude_ratio(level_db - there_db)
        gave = f"{figure(nearest.volts)} V with dial {figure(nearest.dial)} % and cap {figure(nearest.cap)} %"
        return at, f"from {nearest.place} channel {nearest.channel}, which gave {gave}"
    if full_db is None:
        return None, "no rated power is recorded to start from"
    return FULL * amplitude_ratio(level_db - full_db), "from the rated power, less 12 dB for the peaks of music"
