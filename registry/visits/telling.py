"""Suspected faults in words for the phone: why, what settles it, what to bring, what can be done from here."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from registry.engineering import diagnosis as plain
from registry.engineering.diagnosis_symptoms import BARELY_DB, SILENT_DB
from registry.engineering.wording import listed
from registry.visits.baseline_site import KnownSite
from registry.visits.remedies import REMEDIES
from registry.visits.sayings import AS_USUAL

BY_SETTINGS: Final = frozenset({"source silent", "source level changed", "group lost", "amplifier dead"})
SETTINGS: Final = ("input", "source", "group", "power-on level", "power-cut test")
HANDS_OFF: Final = "Life safety may be on this line: nothing of it is altered, by phone or at the site."
MOST_NAMED: Final = 3
ALIKE: Final = {"cable open": "coil open", "line open": "channel dead"}  # by ear one can't be told from the other
SILENCING: Final = frozenset({"coil open", "coil shorted", "cable open"})
MEANS: Final = {
    "group lost": "The player is no longer among those that play the same music together. ",
    "line open": "Nothing gets through from the amplifier to any loudspeaker of the line. ",
    "cap changed": "The cap is how loud the dial gets at its top. ",
}
MUCH_LESS: Final = 0.5  # a fault less than half as probable as the first of its kind stands by itself


@dataclass(frozen=True, slots=True)
class Told:
    """Faults of one kind that people would hear alike, as the call's page shows them."""

    says: str
    probability: float
    why: str
    look: str
    bring: tuple[str, ...]
    by_phone: tuple[str, ...]
    cautions: tuple[str, ...]
    faults: tuple[plain.Suspected, ...]

    @property
    def likely(self) -> str:
        """How probable it is: 64 %."""
        return "over 99 %" if self.probability > 0.99 else f"{self.probability:.0%}".replace("%", " %")


def told_of(found: plain.Diagnosis, known: KnownSite) -> list[Told]:
    """Return all faults in words, most probable first, those of one kind that sound alike together."""
    alike: dict[tuple[object, ...], list[list[plain.Suspected]]] = {}
    for fault in sorted(
        (fault for group in found.groups for fault in group.faults), key=lambda each: -each.probability
    ):
        heard = tuple((zone, heard_as(db)) for zone, db in fault.changes_db)
        rows = alike.setdefault((ALIKE.get(fault.kind, fault.kind), heard), [])
        if not rows or fault.probability < rows[-1][0].probability * MUCH_LESS:
            rows.append([])
        rows[-1].append(fault)
    all_told = [_told(tuple(faults), known) for rows in alike.values() for faults in rows]
    return sorted(all_told, key=lambda each: -each.probability)


def heard_as(change_db: float) -> str:
    """Return the word that people have for a change of level, by the same limits as the diagnosis.

    >>> [heard_as(db) for db in (float("-inf"), -4.0, 0.5, 6.0)]
    ['silent', 'quieter', 'as usual', 'louder']
    """
    if change_db <= SILENT_DB:
        return "silent"
    if abs(change_db) < BARELY_DB:
        return AS_USUAL
    return "quieter" if change_db < 0 else "louder"


def _told(faults: tuple[plain.Suspected, ...], known: KnownSite) -> Told:
    first = faults[0]
    remedies = [REMEDIES[kind] for kind in dict.fromkeys(fault.kind for fault in faults)]
    touched, untouchable = _life_safety(faults, known)
    return Told(
        says=_names(faults),
        probability=sum(fault.probability for fault in faults),
        why=_why(first),
        look=HANDS_OFF if untouchable else f"{first.look[0].upper()}{first.look[1:]}.",
        bring=() if untouchable else _once(each.bring for each in remedies),
        by_phone=() if untouchable else (*_agreed(first, known), *_once(each.by_phone for each in remedies)),
        cautions=_once([["life-safety"] if touched else [], *(each.cautions for each in remedies)]),
        faults=faults,
    )


def _once(lists: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each for some in lists for each in some))


def _names(faults: tuple[plain.Suspected, ...]) -> str:
    """Return one fault's name, or the places of several and their kind."""
    if len(faults) == 1:
        return faults[0].name
    kinds, places = (_once([[getattr(fault, name) for fault in faults]]) for name in ("kind", "where"))
    more = f" or {len(places) - MOST_NAMED} more" if len(places) > MOST_NAMED else ""
    named = f"{', '.join(places[:MOST_NAMED])}{more}" if more else " or ".join(places)
    return f"{named}: {' or '.join(kinds)}"


def _why(fault: plain.Suspected) -> str:
    """Say what the fault would do to the zones."""
    silent = [zone for zone, db in fault.changes_db if db <= SILENT_DB]
    changed = [f"{zone} {_db(db)}" for zone, db in fault.changes_db if db > SILENT_DB and abs(db) >= BARELY_DB]
    said = [f"{fault.where} silent"] if fault.kind in SILENCING else []
    said += [f"{listed(silent)} silent"] if silent else []
    said += [listed(changed)] if changed else []
    if not said:
        return "It would change no level by as much as people hear."
    rest = "the rest as agreed" if len(silent) + len(changed) < len(fault.changes_db) else ""
    return f"{MEANS.get(fault.kind, '')}It would make {'; '.join(filter(None, [*said, rest]))}."


def _db(change_db: float) -> str:
    return f"{change_db:+.1f} dB".replace("-", "−") if math.isfinite(change_db) else "silent"


def _lines(fault: plain.Suspected, site: plain.Site) -> list[plain.SiteLine]:
    """Return the lines that a fault is in, or acts on."""
    dials = [dial for dial in site.dials if fault.where in (dial.name, dial.source)]
    on_dials = {name for dial in dials for name in dial.lines}
    return [line for line in site.lines if line.name in on_dials or _is_in(fault, line)]


def _is_in(fault: plain.Suspected, line: plain.SiteLine) -> bool:
    labels = set(line.spec.called(line.spec.coils))
    return fault.where in (line.name, line.amplifier) or fault.where in labels


def _life_safety(faults: Iterable[plain.Suspected], known: KnownSite) -> tuple[bool, bool]:
    """Whether life safety is, or may be, near any line of these faults, and whether it is near all of them."""
    assert known.site is not None
    guarded = _guarded(known.site)
    flags = [line.amplifier in guarded for fault in faults for line in _lines(fault, known.site)]
    return any(flags), bool(flags) and all(flags)


def _guarded(site: plain.Site) -> set[str]:
    """Return the amplifiers with a line that is, or may be, life-safety related: nothing of them is altered."""
    return {line.amplifier for line in site.lines if line.life_safety != "no"}


def _agreed(fault: plain.Suspected, known: KnownSite) -> Iterable[str]:
    """Return what the baseline says of what may have been changed."""
    if fault.kind in {"dial moved", "cap changed"}:
        yield from _positions(fault, known)
    if fault.kind in BY_SETTINGS and known.site is not None:
        places = dict.fromkeys(line.amplifier for line in _lines(fault, known.site))
        for place in (place for place in places if place not in _guarded(known.site)):
            settings = known.content["places"].get(place, {}).get("settings", {})
            said = [f"{key} {' '.join(settings[key]).strip()}" for key in SETTINGS if settings.get(key, [""])[0]]
            if said:
                yield f"As agreed for {place}: {'; '.join(said)}."


def _positions(fault: plain.Suspected, known: KnownSite) -> Iterable[str]:
    assert known.site is not None
    for dial in known.site.dials:
        if dial.name == fault.where:
            words = ((dial.position, "dial"), (dial.cap, "cap"))
            said = [f"{word} {value:g} %" for value, word in words if value is not None]
            if said:
                yield f"As agreed for {dial.name}: {', '.join(said)}."
