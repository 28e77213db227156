"""Likely faults of a call: its site's baseline, what people say and what was read since, through the diagnosis."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from registry.baselines.drift import comparison_of, facts_of
from registry.baselines.models import Reading
from registry.engineering import diagnosis as plain
from registry.engineering.diagnosis_parts import READING_DB
from registry.engineering.diagnosis_symptoms import EASILY_DB
from registry.engineering.wording import listed
from registry.visits.baseline_site import KnownSite, known_site
from registry.visits.call_evidence import CallEvidence, ShownReading, ohm_of, read_for, shown
from registry.visits.models import ServiceCall
from registry.visits.sayings import AS_USUAL, Said, said_in
from registry.visits.telling import Told, heard_as, told_of

# People who hear nothing unusual say that it is within what is easily heard: common practice.
AS_USUAL_DB: Final = EASILY_DB
MOST_SUSPECTS: Final = 6
WORTH_SHOWING: Final = 0.01
NOTHING_SAID: Final = "Nothing is said or read yet that tells one fault from another: say how it is in one zone."


@dataclass(frozen=True, slots=True)
class Question:
    """What to ask on the phone: how it is in a zone, and which fault each answer would point to."""

    zone: str
    answers: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Suspicion:
    """What may be wrong, what to ask and read next, what is missing, and what was read for the call.

    ranked: empty where too little is known, and where no single fault explains what was read.
    """

    known: KnownSite
    diagnosis: plain.Diagnosis | None
    ranked: tuple[Told, ...]
    question: Question | None
    gaps: tuple[str, ...]
    evidence: tuple[ShownReading, ...]

    @property
    def next_reading(self) -> plain.NextReading | None:
        """The reading that tells the best two apart."""
        return self.diagnosis.next_reading if self.diagnosis and self.ranked else None

    @property
    def unexplained(self) -> str:
        """What no single fault explains, "" where the best explains everything that was read."""
        return self.diagnosis.unexplained if self.diagnosis else ""

    def rows(self) -> list[dict[str, Any]]:
        """Return what is ranked, to be kept with a call."""
        return [
            {"says": each.says, "probability": round(each.probability, 4), "look": each.look} for each in self.ranked
        ]


def suspicion_of(call: ServiceCall) -> Suspicion:
    """Rank what may be wrong. A constant number of queries."""
    known, read = known_site(call.site, before=call.called_at), read_for(call)
    if known.site is None:
        return Suspicion(known, None, (), None, known.gaps, shown(read, None))
    said = said_in(call.symptoms)
    weighed, unknown = _weighable(said, known)
    readings = _readings(read, known)
    impedances, not_alike = _impedances(read, known)
    readings |= _as_usual(weighed, known, read=readings)
    symptoms = [symptom for each in weighed if (symptom := each.symptom)]
    gaps = (*known.gaps, *unknown, *not_alike)
    if not (readings or impedances or symptoms):
        return Suspicion(known, None, (), None, (*gaps, NOTHING_SAID), shown(read, None))
    found = plain.diagnose(known.site, readings=list(readings.values()), impedances=impedances, symptoms=symptoms)
    gaps, evidence = (*gaps, *found.notes), shown(read, found)
    if not found.explains:
        return Suspicion(known, found, (), None, gaps, evidence)
    ranked = told_of(found, known)
    worth = [each for each in ranked if each.probability >= WORTH_SHOWING] or ranked[:1]
    question = _question(worth, known, heard={each.zone for each in said} | readings.keys())
    return Suspicion(known, found, tuple(worth[:MOST_SUSPECTS]), question, gaps, evidence)


def _weighable(said: Iterable[Said], known: KnownSite) -> tuple[list[Said], tuple[str, ...]]:
    """Split what is said of what the baseline knows from what it doesn't."""
    assert known.site is not None
    labels = {coil.label for line in known.site.lines for coil in line.spec.coils}
    weighed: list[Said] = []
    unknown: list[Said] = []
    for each in said:
        is_known = (not each.zone or each.zone in known.zones) and (not each.loudspeaker or each.loudspeaker in labels)
        (weighed if is_known else unknown).append(each)
    if not unknown:
        return weighed, ()
    names = listed(list(dict.fromkeys(each.where for each in unknown)))
    return weighed, (f"What is said of {names} can't be weighed: it has no agreed level or line.",)


def _readings(read: CallEvidence, known: KnownSite) -> dict[str, plain.SpotReading]:
    """Levels as they were found for the call, of the zones that can be judged."""
    return {
        name: plain.SpotReading(name, row.level_db, _uncertainty_db(row, known.content["zones"][name]))
        for name, row in read.levels.items()
        if name in known.zones and row.level_db is not None
    }


def _uncertainty_db(reading: Reading, frozen: Mapping[str, Any]) -> float:
    """Return the standard uncertainty of a change: larger where meter, spot or track differ from the baseline's."""
    found = comparison_of(facts_of(reading), frozen, reading.zone.tolerance_db)
    # What can be proved is about twice the standard uncertainty (95 %).
    return max(READING_DB, found.guard_db / 2.0) if found else READING_DB


def _as_usual(
    said: Iterable[Said], known: KnownSite, *, read: Mapping[str, plain.SpotReading]
) -> dict[str, plain.SpotReading]:
    """Take what is as usual for a reading of the agreed level, as rough as ears are."""
    zones: list[str] = []
    for each in said:
        if each.kind == AS_USUAL and not each.loudspeaker:
            zones += [each.zone] if each.zone else list(known.zones)
    return {
        name: plain.SpotReading(name, known.zones[name].level_db, AS_USUAL_DB) for name in zones if name not in read
    }


def _impedances(read: CallEvidence, known: KnownSite) -> tuple[list[plain.ImpedanceReading], tuple[str, ...]]:
    """Impedances measured for the call, without those at another frequency than before."""
    assert known.site is not None
    names = {line.name for line in known.site.lines}
    used, other = [], []
    for name, row in read.impedances.items():
        ohm = ohm_of(row)
        if name not in names or not ohm:
            continue
        if not row.is_open and known.hertz.get(name, row.frequency_hz) != row.frequency_hz:
            other.append(name)
            continue
        used.append(plain.ImpedanceReading(name, ohm))
    if not other:
        return used, ()
    return used, (f"{listed(other)}: measured at another frequency than before, so the value was not used.",)


def _question(ranked: Sequence[Told], known: KnownSite, *, heard: set[str]) -> Question | None:
    """Return the zone, not yet heard of, whose sound tells the first suspect from the most probable rival it can."""
    first, *rivals = [each.faults[0] for each in ranked]
    for rival in rivals:
        mine, theirs = dict(first.changes_db), dict(rival.changes_db)
        for zone in known.zones:
            answers = (heard_as(mine[zone]), heard_as(theirs[zone]))
            if zone not in heard and answers[0] != answers[1]:
                return Question(zone, ((answers[0], first.name), (answers[1], rival.name)))
    return None
