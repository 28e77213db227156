"""Diagnosis: the single faults that explain what was read and heard, what is like them, and what to read next."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from registry.engineering.diagnosis_causes import PRIORS, SuspectKind
from registry.engineering.diagnosis_fit import Fit, fits_of
from registry.engineering.diagnosis_next import NextReading, next_reading
from registry.engineering.diagnosis_parts import (
    Heard,
    ImpedanceReading,
    Site,
    SiteDial,
    SiteLine,
    SiteSpot,
    SpotReading,
    Symptom,
    SymptomKind,
    check_evidence,
)
from registry.engineering.diagnosis_rank import Evidence, Scored
from registry.engineering.diagnosis_suspects import suspects, unsolved_lines
from registry.engineering.wording import listed

__all__ = [
    "PRIORS",
    "Diagnosis",
    "Fit",
    "Heard",
    "ImpedanceReading",
    "NextReading",
    "Site",
    "SiteDial",
    "SiteLine",
    "SiteSpot",
    "SpotReading",
    "SuspectKind",
    "Suspected",
    "SuspectedGroup",
    "Symptom",
    "SymptomKind",
    "diagnose",
]

CAUTION: Final = (
    "Amplifier off and line disconnected before measuring at terminals. Leave fire, voice-alarm and emergency paging "
    "lines alone. Local codes, makers' instructions and licensed persons decide."
)

# Common practice: the look or test that settles it.
LOOK: Final[dict[SuspectKind, str]] = {
    "no fault": "read again, with the same meter and track",
    "coil open": "measure the loudspeaker by itself",
    "coil shorted": "measure the loudspeaker by itself",
    "cable open": "measure continuity of the cable to it",
    "line open": "look for a loose terminal or plug at the amplifier, then measure continuity along the line",
    "polarity reversed": "compare its conductors with the terminal map",
    "channel dead": "put a known-good loudspeaker on the channel",
    "amplifier dead": "look at power, fuse and protection lights",
    "dial moved": "compare the dial with the baseline",
    "cap changed": "compare the cap with the baseline",
    "source level changed": "compare input and source level with the baseline",
    "source silent": "put a known-good source on the input",
    "group lost": "look whether the endpoint is still in its group",
}


@dataclass(frozen=True, slots=True)
class Suspected:
    """A fault that may be, how probable it is, and what it does to each spot.

    move_db: for a dial, cap or source, the change that fits best. changes_db: of the music at every spot, −inf is
    silence. look: what settles it.
    """

    kind: SuspectKind
    where: str
    probability: float
    move_db: float | None
    changes_db: tuple[tuple[str, float], ...]
    look: str

    @property
    def name(self) -> str:
        """Place and kind, and by how much."""
        by = "" if self.move_db is None else f" by {self.move_db:+.1f} dB".replace("-", "−")
        return f"{self.where}: {self.kind}{by}" if self.where else self.kind


@dataclass(frozen=True, slots=True)
class SuspectedGroup:
    """Faults that these readings do not tell from the first of them, most probable first."""

    faults: tuple[Suspected, ...]
    probability: float

    @property
    def says(self) -> str:
        """What it may be, how probable, and that the readings do not tell which."""
        worth = [fault for fault in self.faults if fault.probability >= WORTH_NAMING] or [self.faults[0]]
        sure = f"{self.probability:.0%}" if self.probability < ALMOST_SURE else "over 99%"
        if len(worth) == 1:
            return f"{worth[0].name}, {sure}."
        kinds = dict.fromkeys(fault.kind for fault in worth)
        names = "; ".join(_named([fault for fault in worth if fault.kind == kind]) for kind in kinds)
        return f"One of these, which the readings do not tell apart ({sure} together): {names}."


def _named(alike: list[Suspected]) -> str:
    """Faults of one kind in a few words, however many there are."""
    if len(alike) <= MOST_NAMES:
        return "; ".join(fault.name for fault in alike)
    return f"{alike[0].name} (or at one of {len(alike) - 1} other places)"


ALMOST_SURE: Final = 0.995
MOST_NAMES: Final = 2
WORTH_NAMING: Final = 0.005


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Groups of faults, most probable first; the reading that would tell the best two apart; what was left out.

    fits: how well the most probable fault explains each reading.
    """

    groups: tuple[SuspectedGroup, ...]
    next_reading: NextReading | None
    notes: tuple[str, ...]
    fits: tuple[Fit, ...] = ()
    caution: str = CAUTION

    @property
    def best(self) -> Suspected:
        """The most probable single fault."""
        return max((fault for group in self.groups for fault in group.faults), key=lambda fault: fault.probability)

    @property
    def explains(self) -> bool:
        """Whether the most probable fault explains every reading; probabilities only compare it with the others."""
        return all(fit.explained for fit in self.fits)

    @property
    def unexplained(self) -> str:
        """What no single fault explains, "" where the best explains everything."""
        worst = max((fit for fit in self.fits if not fit.explained), key=lambda fit: fit.off, default=None)
        if worst is None:
            return ""
        return f"No single fault explains what was read. The nearest is {self.best.name}: {worst.says}."

    @property
    def says(self) -> str:
        """The answer in two sentences."""
        if not self.explains:
            return self.unexplained
        after = self.next_reading.says if self.next_reading else f"To be sure, {self.groups[0].faults[0].look}."
        return f"{self.groups[0].says} {after}"


def diagnose(
    site: Site,
    *,
    readings: Sequence[SpotReading] = (),
    impedances: Sequence[ImpedanceReading] = (),
    symptoms: Sequence[Symptom] = (),
) -> Diagnosis:
    """Rank every single fault of a site by how well it explains readings and symptoms.

    Probability ∝ share of calls × Σ over the ways it may show of Π Gaussian(reading; prediction) × P(symptoms). The
    spread of a reading is its uncertainty and, where only some loudspeakers of a spot change, that of what each adds.
    Faults whose predictions lie less than three standard uncertainties apart are put in one group: not told apart.

    Parameters:
        site: the baseline.
        readings: at spots; one for each spot at most.
        impedances: at the terminals of disconnected lines; one for each line at most.
        symptoms: what people say.
    Returns:
        The groups of faults, and what to read next.
    Raises:
        ValueError: nothing read or heard, something read twice, or a name that the baseline does not hold.
    Source: Bayes' rule with Gaussian uncertainties (JCGM 100:2008); shares of calls and of what people say are common
        practice.

    >>> from registry.engineering.line import Channel, Coil, LineSpec, RatedLoad, String
    >>> strings = tuple(String(str(n), (Coil(f"LS{n}", impedance_ohm=16.0),)) for n in (1, 2))
    >>> line = SiteLine("L1", LineSpec("low", strings, Channel((RatedLoad(8.0, 50.0),), 4.0)), "A1", "no")
    >>> spots = tuple(SiteSpot(f"P{n}", "Bar", 62.0, (Heard(f"LS{n}"),), 40.0) for n in (1, 2))
    >>> site = Site((line,), (SiteDial("Bar", ("L1",), "Stream"),), spots)
    >>> print(diagnose(site, readings=[SpotReading("P1", 40.5), SpotReading("P2", 62.2)]).groups[0].says)
    One of these, which the readings do not tell apart (over 99% together): LS1: coil open; LS1: cable open.
    """
    check_evidence(site, readings, impedances=impedances, symptoms=symptoms)
    evidence = Evidence(site, readings, impedances=impedances, symptoms=symptoms)
    ranked = evidence.ranked(suspects(site))
    groups = tuple(
        SuspectedGroup(tuple(_suspected(one, evidence) for one in group), sum(one.probability for one in group))
        for group in evidence.grouped(ranked)
    )
    following = next_reading(evidence, ranked)
    return Diagnosis(groups, following, _notes(evidence, impedances), fits_of(evidence, ranked[0]))


def _suspected(one: Scored, evidence: Evidence) -> Suspected:
    suspect = one.suspect
    changes = evidence.predictor.changes(suspect)[one.best]
    return Suspected(
        kind=suspect.kind,
        where=suspect.where,
        probability=one.probability,
        move_db=suspect.outcomes[one.best].move_db,
        changes_db=tuple((spot.name, float(db)) for spot, db in zip(evidence.site.spots, changes, strict=True)),
        look=LOOK[suspect.kind],
    )


def _notes(evidence: Evidence, impedances: Sequence[ImpedanceReading]) -> tuple[str, ...]:
    unsolved = unsolved_lines(evidence.site)
    unused = [reading.line for reading in impedances if reading not in evidence.impedances]
    texts = (
        (unsolved, "an impedance or tap is not known, so faults inside it were not looked at"),
        (unused, "its impedance cannot be computed, so the one measured was not used"),
    )
    return tuple(f"Line {listed(names)}: {text}." for names, text in texts if names)
