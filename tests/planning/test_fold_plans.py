"""Keeping, rejecting, accepting: facts that stay, one acceptance that holds, and refusals that say what to do."""

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from registry.audio.models import Coil, Line
from registry.exchange.designs import put_into_register
from registry.planning.fold_plans import accept_plan, keep_plan, record_wired, reject_plan, standing_now
from registry.planning.frozen import frozen, thawed
from registry.planning.kept import KeptPlan, changed_since, fitted_as, fitted_into, kept_of
from registry.planning.models import Decided, FoldPlan, PlanDecision
from registry.planning.queries import accepted_plans, fold_plans_visible_to
from registry.planning.standing import standings
from registry.planning.surroundings import surroundings
from sites.facts import FactIsFixedError
from sites.models import Site, User
from sites.put import RefusedError
from tests.planning.asking import kept_for, requested


def keep(site: Site, by: User, *, tolerance_db: float = 2.1, title: str = "As agreed") -> FoldPlan:
    kept = kept_for(site, requested(site, tolerance_db=tolerance_db))
    return keep_plan(by=by, site=site, title=title, kept=kept, inputs="asked=1&z1-on=on")


def test_a_kept_plan_holds_all_that_it_was_computed_from(hall: Site, tech: User) -> None:
    kept = kept_for(hall, requested(hall, tolerance_db=2.1))
    plan = keep_plan(by=tech, site=hall, title=" First ", kept=kept, inputs="asked=1")
    plan.refresh_from_db()
    assert kept_of(plan) == kept
    assert thawed(KeptPlan, frozen(kept)) == kept
    assert (plan.number, plan.title, plan.author, plan.inputs) == (1, "First", tech, "asked=1")
    assert keep(hall, tech).number == 2


def test_a_kept_plan_stays_as_it_is_when_the_register_changes(hall: Site, tech: User) -> None:
    plan = keep(hall, tech)
    before = fitted_as(kept_of(plan), None)
    Coil.objects.filter(line__name="L1 Foyer").delete()
    Line.objects.filter(name="L1 Foyer").delete()
    assert fitted_as(kept_of(plan), None) == before


def test_a_plan_and_its_decisions_are_facts(hall: Site, tech: User) -> None:
    plan = keep(hall, tech)
    with pytest.raises(FactIsFixedError):
        plan.save()
    with pytest.raises(FactIsFixedError):
        plan.delete()
    decision = reject_plan(by=tech, plan=plan, reason="Too loud by the till")
    with pytest.raises(FactIsFixedError):
        PlanDecision.objects.filter(pk=decision.pk).update(reason="")


def test_the_database_holds_what_a_decision_must_hold(hall: Site, tech: User) -> None:
    plan = keep(hall, tech)
    common = {"plan": plan, "decided_at": timezone.now(), "decided_by": tech}
    for wrong in (
        {"decided": Decided.REJECTED},
        {"decided": Decided.ACCEPTED},
        {"decided": Decided.WIRED, "design": {}},
        {"decided": "maybe"},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            PlanDecision.objects.create(**common, **wrong)
    PlanDecision.objects.create(**common, decided=Decided.WIRED)
    with pytest.raises(IntegrityError), transaction.atomic():
        PlanDecision.objects.create(**common, decided=Decided.WIRED)


def test_a_plan_without_a_name_and_a_rejection_without_a_reason_are_refused(hall: Site, tech: User) -> None:
    with pytest.raises(RefusedError, match="name the plan"):
        keep(hall, tech, title="  ")
    plan = keep(hall, tech)
    with pytest.raises(RefusedError, match="say why"):
        reject_plan(by=tech, plan=plan, reason=" ")
    reject_plan(by=tech, plan=plan, reason="No")
    with pytest.raises(RefusedError, match="rejected already"):
        reject_plan(by=tech, plan=plan, reason="No again")


def test_a_rejected_plan_is_kept_with_its_reason(hall: Site, tech: User) -> None:
    plan = keep(hall, tech)
    reject_plan(by=tech, plan=plan, reason="The owner wants the shop by itself")
    standing = standing_now(plan)
    assert standing.word == "rejected"
    assert standing.decision is not None
    assert standing.decision.reason == "The owner wants the shop by itself"
    assert FoldPlan.objects.filter(pk=plan.pk).exists()


def test_one_acceptance_holds_and_a_newer_one_supersedes_it(hall: Site, tech: User) -> None:
    first, second = keep(hall, tech), keep(hall, tech, tolerance_db=4.6)
    accept_plan(by=tech, plan=first, agreed="Owner")
    accept_plan(by=tech, plan=second, agreed="Owner")
    assert (standing_now(first).word, standing_now(second).word) == ("superseded", "accepted")
    assert accepted_plans([hall.pk])[hall.pk].plan == second
    assert PlanDecision.objects.count() == 2
    accept_plan(by=tech, plan=first, agreed="Owner, on second thoughts")
    assert (standing_now(first).word, standing_now(second).word) == ("accepted", "superseded")


def test_a_site_whose_accepted_plan_is_rejected_has_none(hall: Site, tech: User) -> None:
    first, second = keep(hall, tech), keep(hall, tech, tolerance_db=4.6)
    accept_plan(by=tech, plan=first, agreed="Owner")
    accept_plan(by=tech, plan=second, agreed="Owner")
    reject_plan(by=tech, plan=second, reason="The owner has changed their mind")
    assert accepted_plans([hall.pk]) == {}
    assert (standing_now(first).word, standing_now(second).word) == ("superseded", "rejected")


def test_a_plan_is_accepted_once_and_a_wired_one_neither_accepted_nor_rejected(hall: Site, tech: User) -> None:
    plan = keep(hall, tech)
    accept_plan(by=tech, plan=plan, agreed="Owner")
    with pytest.raises(RefusedError, match="accepted already"):
        accept_plan(by=tech, plan=plan, agreed="Owner")
    put_into_register(by=tech, plan=plan, equipment={})
    assert standing_now(plan).word == "wired"
    with pytest.raises(RefusedError, match="this plan is wired"):
        reject_plan(by=tech, plan=plan, reason="Too late")
    with pytest.raises(RefusedError, match="accepted already"):
        accept_plan(by=tech, plan=plan, agreed="Owner")


def test_a_plan_that_is_not_accepted_is_not_wired(hall: Site, tech: User) -> None:
    plan = keep(hall, tech)
    with pytest.raises(RefusedError, match="plan 1 is proposed: only an accepted one is wired"):
        record_wired(by=tech, plan=plan, at=timezone.now())
    with pytest.raises(RefusedError, match="only an accepted one is wired"):
        put_into_register(by=tech, plan=plan, equipment={})


@pytest.mark.parametrize("change", ["moved", "life safety", "one more", "gone"])
def test_wiring_that_changed_since_refuses_the_acceptance(hall: Site, tech: User, change: str) -> None:
    plan = keep(hall, tech)
    coil = Coil.objects.select_related("loudspeaker").get(loudspeaker__label="LS-01", coil="1")
    if change == "moved":
        Coil.objects.filter(pk=coil.pk).update(cable_m=99.0)
    elif change == "life safety":
        Line.objects.filter(name="L1 Foyer").update(life_safety="unknown")
    elif change == "one more":
        Coil.objects.create(loudspeaker=coil.loudspeaker, coil="2", line=coil.line, string="9", order=1)
    else:
        coil.delete()
    with pytest.raises(RefusedError, match=r"LS-01.*compute it again"):
        accept_plan(by=tech, plan=plan, agreed="Owner")
    assert changed_since(kept_of(plan), surroundings(hall))
    assert not PlanDecision.objects.exists()


def test_a_change_elsewhere_at_the_site_does_no_harm(hall: Site, tech: User) -> None:
    kept = kept_for(hall, requested(hall, ["Foyer", "Shop"], tolerance_db=2.1))
    plan = keep_plan(by=tech, site=hall, title="Two", kept=kept, inputs="")
    Line.objects.filter(name="L2 Boulder hall").update(life_safety="yes")
    assert accept_plan(by=tech, plan=plan, agreed="Owner").decided == Decided.ACCEPTED


def test_the_design_of_the_day_is_frozen_with_the_acceptance(hall: Site, tech: User) -> None:
    plan = keep(hall, tech)
    decision = accept_plan(by=tech, plan=plan, agreed="Owner")
    now = fitted_into(kept_of(plan), surroundings(hall), tags="P1").design
    assert decision.design is not None
    assert decision.design["design"] == frozen(now)
    assert {row["tag"] for row in decision.design["tables"]["equipment"]} == {f"P1-A{box.number}" for box in now.boxes}


def test_how_plans_stand_costs_no_query_for_each(
    hall: Site, tech: User, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    plans = [keep(hall, tech) for _ in range(3)]
    accept_plan(by=tech, plan=plans[0], agreed="Owner")
    reject_plan(by=tech, plan=plans[1], reason="No")
    with django_assert_num_queries(3):  # type: ignore[operator]
        found = list(fold_plans_visible_to(tech))
        words = standings(found, accepted_plans({plan.site_id for plan in found}))
    assert [words[plan.pk].word for plan in found] == ["proposed", "rejected", "accepted"]
