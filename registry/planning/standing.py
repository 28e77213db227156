"""How a fold plan stands: what was decided about it last, and whether a later acceptance took its place."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from registry.planning.models import Decided, FoldPlan, PlanDecision

Word: TypeAlias = Literal["proposed", "accepted", "wired", "superseded", "rejected"]

WORDS: Mapping[Word, str] = {
    "proposed": "Proposed",
    "accepted": "Accepted, not wired yet",
    "wired": "Wired and in the register",
    "superseded": "Superseded by a later acceptance",
    "rejected": "Rejected",
}


@dataclass(frozen=True, slots=True)
class Standing:
    """One word for a plan, and the decision that gives it; a proposed plan has none."""

    word: Word
    decision: PlanDecision | None

    @property
    def words(self) -> str:
        """The word as people read it."""
        return WORDS[self.word]


def standings(plans: Iterable[FoldPlan], accepted: Mapping[int, PlanDecision]) -> dict[int, Standing]:
    """Return how each plan stands, by its id; `accepted` is what `accepted_plans` gives for their sites."""
    return {plan.pk: standing_of(plan, accepted.get(plan.site_id)) for plan in plans}


def standing_of(plan: FoldPlan, accepted: PlanDecision | None) -> Standing:
    """Return how a plan stands, whose decisions are loaded, beside its site's acceptance."""
    decisions = sorted(plan.decisions.all(), key=lambda decision: decision.pk)
    if not decisions:
        return Standing("proposed", None)
    last = decisions[-1]
    if last.decided == Decided.REJECTED:
        return Standing("rejected", last)
    if accepted is None or accepted.plan_id != plan.pk:
        return Standing("superseded", last)
    return Standing("wired" if last.decided == Decided.WIRED else "accepted", last)
