"""Nine zones that are no published example: the plans are those that exhaustive enumeration finds."""

from dataclasses import replace

import pytest

from registry.engineering.folding import Weights
from registry.planning.folding_input import FoldRequest, fold_request, usual_choice
from sites.models import Site
from tests.engineering.folding_enumeration import best_by_count, recomputed_penalty
from tests.planning.asking import facts_of, found_for, requested, usual_offers
from tests.planning.nine_zones import NA_2, ZONES, by_hand

FEWEST = {1.1: 6, 2.1: 5, 3.1: 5, 4.6: 4}  # what enumeration found when this case was made


def asked(site: Site, tolerance_db: float) -> FoldRequest:
    """The register's zones with one tolerance; the terrace closes earlier, which only a person knows."""
    facts, hours = facts_of(site), {zone.name: zone.hours for zone in ZONES}
    choices = [
        replace(usual_choice(facts[zone.name]), tolerance_db=tolerance_db, hours=hours[zone.name]) for zone in ZONES
    ]
    return fold_request(choices, usual_offers(site))


def test_the_register_gives_the_zones_that_were_written_by_hand(hall: Site) -> None:
    request = asked(hall, 2.1)
    assert request.left_out == ()
    for ours, expected in zip(request.zones, by_hand(2.1), strict=True):
        assert [replace(coil, loudspeaker="LS") for coil in ours.coils] == [
            replace(coil, loudspeaker="LS") for coil in expected.coils
        ]
        assert replace(ours, coils=expected.coils) == expected


def test_the_amplifier_is_the_one_that_was_written_by_hand(hall: Site) -> None:
    (offered,) = asked(hall, 2.1).amplifiers
    assert offered.modes[0] == NA_2.modes[0]
    assert (offered.name, offered.price) == (NA_2.name, NA_2.price)


@pytest.mark.parametrize("tolerance_db", FEWEST)
def test_every_number_of_amplifiers_has_the_penalty_that_enumeration_finds(hall: Site, tolerance_db: float) -> None:
    request, weights = asked(hall, tolerance_db), Weights()
    expected = best_by_count(by_hand(tolerance_db), (NA_2,), weights)
    assert min(expected) == FEWEST[tolerance_db]
    found = found_for(hall, request)
    assert {len(plan.amplifiers): pytest.approx(plan.penalty) for plan in found.plans} == expected
    for plan in found.plans:
        assert recomputed_penalty(plan, by_hand(tolerance_db), request.amplifiers, weights) == pytest.approx(
            plan.penalty
        )


def test_nine_zones_that_may_all_share_an_amplifier_too(hall: Site) -> None:
    request, weights = requested(hall, tolerance_db=2.1, source="", hours=""), Weights()
    together = [replace(zone, source="", hours="") for zone in by_hand(2.1)]
    expected = best_by_count(together, (NA_2,), weights)
    assert {len(plan.amplifiers): pytest.approx(plan.penalty) for plan in found_for(hall, request).plans} == expected


def test_a_limit_is_named_for_the_plan_that_is_one_smaller(hall: Site) -> None:
    # By hand: Training room and Office need −22 and −22.5 dB in parallel; both in parallel load two channels of 4 Ω
    # with 1/6 + 1/6 + 1/8 + 1/8 S, which is 117 % of 0.5 S.
    says = " ".join(refusal.says for refusal in found_for(hall, asked(hall, 2.1)).refusals)
    assert "One amplifier for Training room and Office" in says
    assert "117% of its limit" in says
    assert "differ in source and hours" in says
