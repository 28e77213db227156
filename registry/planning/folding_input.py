"""What somebody asks of a fold plan: zones and amplifiers with their choices, as engineering takes them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from registry.audio.models import TOLERANCE_DB, LineKind
from registry.engineering.folding import AmplifierType, FoldCoil, FoldZone, LifeSafety, Weights
from registry.engineering.folding_parts import LONGEST_STRING, MOST_IN_A_STRING
from registry.engineering.line_parts import LineKind as PlainKind
from registry.engineering.taps import tap_impedance_ohm
from registry.engineering.wording import listed
from registry.planning.candidates import Candidate, Offered
from registry.planning.wired import WiredCoil
from registry.planning.zone_facts import ZoneFacts

# One conductor that is taken off one terminal and put on another, tested and labelled: common practice.
MINUTES_PER_TERMINATION = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneChoice:
    """What somebody wants of one zone; what isn't typed is what the register knows."""

    facts: ZoneFacts
    wanted_db: float | None
    tolerance_db: float
    longest_string: int
    source: str
    hours: str = ""
    controller: str = ""
    control_db: float = 0.0
    may_split: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """An amplifier that may be used: at which price, and how many can be had (None: as many as needed)."""

    candidate: Candidate
    price: float | None
    at_most: int | None = None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A zone that no plan touches, and why."""

    zone: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldRequest:
    """Everything that a plan is computed from."""

    zones: tuple[FoldZone, ...]
    offered: tuple[Offered, ...]
    at_most: Mapping[str, int] = field(default_factory=dict)
    left_out: tuple[LeftOut, ...] = ()
    weights: Weights = field(default_factory=Weights)
    minutes: float = MINUTES_PER_TERMINATION

    @property
    def amplifiers(self) -> tuple[AmplifierType, ...]:
        """The amplifiers as engineering takes them."""
        return tuple(offered.type for offered in self.offered)


def usual_choice(facts: ZoneFacts) -> ZoneChoice:
    """Return what is chosen for a zone until somebody says otherwise."""
    return ZoneChoice(
        facts=facts,
        wanted_db=facts.wanted.value,
        tolerance_db=facts.tolerance_db or TOLERANCE_DB,
        longest_string=min(max(LONGEST_STRING, facts.longest_string), MOST_IN_A_STRING),
        source=facts.source,
    )


def fold_request(
    choices: Sequence[ZoneChoice],
    offers: Iterable[Offer],
    *,
    weights: Weights | None = None,
    minutes: float = MINUTES_PER_TERMINATION,
) -> FoldRequest:
    """Return the zones that can be planned and those that can't, with what is missing, and what may be bought."""
    chosen = {choice.facts.name for choice in choices}
    reasons = [(choice, _missing(choice, chosen)) for choice in choices]
    offers = list(offers)
    return FoldRequest(
        zones=tuple(_fold_zone(choice) for choice, reason in reasons if not reason),
        offered=tuple(offer.candidate.at(offer.price) for offer in offers),
        at_most={offer.candidate.name: offer.at_most for offer in offers if offer.at_most is not None},
        left_out=tuple(LeftOut(choice.facts.name, reason) for choice, reason in reasons if reason),
        weights=weights or Weights(),
        minutes=minutes,
    )


def _missing(choice: ZoneChoice, chosen: set[str]) -> str:
    """Return why a chosen zone can't be planned; empty where it can."""
    facts = choice.facts
    if facts.bound:
        return facts.bound
    left = [name for name in facts.tied if name not in chosen]
    if left:
        return f"one of its strings also holds a loudspeaker of {listed(left)}: choose that zone too"
    unknown = [coil.name for coil in facts.coils if _impedance(coil) is None]
    if unknown:
        what = "impedance" if facts.kind == LineKind.LOW else "tap"
        return f"{what} not known: {listed(unknown)}"
    unnamed = [coil.name for coil in facts.coils if not coil.model]
    if unnamed:
        return f"model not known: {listed(unnamed)}"
    missing = [f"wanted level not known ({facts.wanted.says})"] if choice.wanted_db is None else []
    if facts.at_283.value is None:
        missing.append(f"level at 2.83 V not known ({facts.at_283.says})")
    return "; ".join(missing)


def _fold_zone(choice: ZoneChoice) -> FoldZone:
    facts = choice.facts
    low = facts.kind == LineKind.LOW
    answers: set[str] = {coil.life_safety for coil in facts.coils}
    touchy: LifeSafety = "yes" if "yes" in answers else "unknown" if "unknown" in answers else "no"
    return FoldZone(
        name=facts.name,
        coils=tuple(_fold_coil(coil, facts) for coil in facts.coils),
        wanted_db=choice.wanted_db,
        level_at_283_db=facts.at_283.value,
        life_safety=touchy,
        tolerance_db=choice.tolerance_db,
        kind=_kind(facts.kind),
        source=choice.source,
        hours=choice.hours,
        controller=choice.controller,
        control_db=choice.control_db,
        longest_string=choice.longest_string if low else 1,
        may_split=choice.may_split and low,
        today=facts.today,
    )


def _kind(kind: str) -> PlainKind:
    kinds: dict[str, PlainKind] = {"25": "25", "70.7": "70.7", "100": "100"}
    return kinds.get(kind, "low")


def _fold_coil(coil: WiredCoil, facts: ZoneFacts) -> FoldCoil:
    return FoldCoil(
        loudspeaker=coil.loudspeaker,
        impedance_ohm=_impedance(coil),
        coil=coil.coil,
        model=f"{coil.make} {coil.model}".strip(),
        room=facts.room,
        rated_power_w=coil.power_w if coil.kind == LineKind.LOW else coil.tap_w,
    )


def _impedance(coil: WiredCoil) -> float | None:
    if coil.kind == LineKind.LOW:
        return coil.impedance_ohm
    return None if coil.tap_w is None else tap_impedance_ohm(line_v=float(coil.kind), tap_w=coil.tap_w)
