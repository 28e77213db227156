"""The search for a request: what is refused, what is left out, numbers in stock, channels as they are named here."""

from dataclasses import replace

import pytest

from registry.audio.models import Line
from registry.demo.factories import MakeModelFactory, RatingFactory
from registry.engineering.folding import FoldCoil, FoldZone
from registry.planning.candidates import candidates
from registry.planning.computing import CantPlanError, find_plans, fitted
from registry.planning.folding_input import FoldRequest, Offer, fold_request, usual_choice
from registry.planning.planned_reach import planned_reach
from registry.planning.surroundings import surroundings
from sites.models import Site
from tests.planning.asking import facts_of, found_for, requested, usual_offers
from tests.planning.nine_zones import ZONES
from tests.planning.wiring_cases import NA_2


def many(count: int, **given: object) -> tuple[FoldZone, ...]:
    zone = {"wanted_db": 60.0, "level_at_283_db": 80.0, "life_safety": "no"}
    return tuple(
        FoldZone(name=f"Z{n}", coils=(FoldCoil(f"LS{n}", 8.0),), **(zone | given))
        for n in range(count)  # type: ignore[arg-type]
    )


def test_nothing_to_plan_and_nothing_to_plan_with_are_refused() -> None:
    with pytest.raises(CantPlanError, match="No zone can be planned"):
        find_plans(FoldRequest(zones=(), offered=(NA_2,)), counts_channels=True)
    with pytest.raises(CantPlanError, match="Choose at least one amplifier"):
        find_plans(FoldRequest(zones=many(1), offered=()), counts_channels=True)


def test_more_than_fourteen_zones_of_one_class_are_refused_and_fourteen_are_not() -> None:
    with pytest.raises(CantPlanError, match="15 zones share source, hours, controller and line kind; at most 14"):
        find_plans(FoldRequest(zones=many(15), offered=(NA_2,)), counts_channels=True)
    assert find_plans(FoldRequest(zones=many(14), offered=(NA_2,)), counts_channels=True).plans
    apart = (*many(14), replace(many(15)[14], hours="until eight"))
    assert find_plans(FoldRequest(zones=apart, offered=(NA_2,)), counts_channels=True).plans


@pytest.mark.parametrize(("counts", "names"), [(True, ["1", "2"]), (False, ["A", "B"])])
def test_channels_are_numbered_or_lettered_as_they_are_at_the_site(counts: bool, names: list[str]) -> None:
    found = find_plans(FoldRequest(zones=many(1), offered=(NA_2,)), counts_channels=counts)
    assert [channel.channel for channel in found.plans[0].amplifiers[0].channels] == names
    assert found.plans[0].amplifiers[0].channels[0].says.startswith(f"Channel {names[0]}:")


def test_the_hall_numbers_its_channels_and_a_lettered_site_does_not(hall: Site) -> None:
    assert surroundings(hall).counts_channels
    for line in Line.objects.all():
        Line.objects.filter(pk=line.pk).update(channel="ABCDEFGHI"[int(line.channel) - 1])
    assert not surroundings(hall).counts_channels


def test_a_life_safety_line_is_in_no_plan(hall: Site) -> None:
    Line.objects.filter(name="L1 Foyer").update(life_safety="yes")
    Line.objects.filter(name="L5 Shop").update(life_safety="unknown")
    found = found_for(hall, requested(hall, tolerance_db=2.1))
    assert {zone.zone for plan in found.plans for zone in plan.zones} == {z.name for z in ZONES} - {"Foyer", "Shop"}
    assert {each.zone for each in found.left_out} == {"Foyer", "Shop"}
    assert all("no change is offered" in each.says for each in found.left_out)


def test_too_few_amplifiers_in_stock_are_a_reason_and_enough_of_them_are_not(hall: Site) -> None:
    none = found_for(hall, requested(hall, tolerance_db=2.1, at_most=4))
    assert none.plans == ()
    assert none.refusals[-1].says == "Five amplifiers would do if there were more than 4 of Make A NA-2."
    five = found_for(hall, requested(hall, tolerance_db=2.1, at_most=5))
    assert [len(plan.amplifiers) for plan in five.plans] == [5]


def test_another_model_fills_up_what_the_stock_lacks(hall: Site) -> None:
    other = MakeModelFactory(make__name="Make D", name="ND-2", price=900)
    RatingFactory(make_model=other, channels=2, load_ohm=4.0, power_w=70.0)
    choices = [usual_choice(zone) for zone in facts_of(hall).values()]
    offers = [replace(offer, at_most=2 if offer.candidate.model == "NA-2" else None) for offer in usual_offers(hall)]
    best = found_for(hall, fold_request(choices, offers)).ranked[0]
    names = [amplifier.amplifier for amplifier in best.amplifiers]
    assert names.count("Make A NA-2") == 2
    assert set(names) == {"Make A NA-2", "Make D ND-2"}


def test_candidates_are_amplifiers_with_a_low_impedance_rating_and_the_others_say_why_not(hall: Site) -> None:
    unrated = MakeModelFactory(make__name="Make E", name="E-1")
    RatingFactory(make_model=unrated, load_ohm=None, line_v=100.0, power_w=120.0, min_load_ohm=None)
    uncounted = MakeModelFactory(make__name="Make F", name="F-1")
    RatingFactory(make_model=uncounted, channels=None)
    found = {candidate.name: candidate for candidate in candidates(hall)}
    assert "Make E E-1" not in found
    assert found["Make F F-1"].says.startswith("how many channels it has is not recorded")
    assert found["Make B MZ-12"].says == "12 channels; fold plans take amplifiers of one to 4"
    modes = {mode.name: mode for mode in found["Make A NA-2"].modes}
    assert modes["low impedance"].min_load_ohm == 4.0
    # 100 V into 80 % of 120 W (20 % margin, common practice): 10 000 / 96 Ω.
    assert modes["100 V line"].min_load_ohm == pytest.approx(10000 / 96)


def test_a_constant_voltage_zone_gets_an_output_of_its_kind(hall: Site) -> None:
    (zone,) = many(1, kind="100", level_at_283_db=60.0)
    zone = replace(zone, coils=(FoldCoil("LS1", 1000.0),))
    offer = next(offer for offer in usual_offers(hall))
    found = find_plans(FoldRequest(zones=(zone,), offered=(offer.candidate.at(None),)), counts_channels=True)
    assert [amplifier.mode for amplifier in found.plans[0].amplifiers] == ["100 V line"]


def test_a_planned_zone_that_wants_a_local_input_of_another_unit_is_flagged(hall: Site) -> None:
    request = requested(hall, ["Foyer"], source="Line in of Old amplifier")
    around = surroundings(hall)
    found = find_plans(request, counts_channels=True)
    fit = fitted(
        found.plans[0],
        zones=request.zones,
        coils=around.coils,
        models={offered.name: offered for offered in request.offered},
        around=around,
        positions={},
    )
    (flagged,) = planned_reach(fit.design, around).unheard
    assert flagged.zone == "Foyer"
    assert flagged.says == "Line in of Old amplifier reaches only Old amplifier: split it, or send it on to the group"


def test_zones_of_one_source_share_a_group_and_one_control_moves_an_amplifier(hall: Site) -> None:
    request, around = requested(hall, tolerance_db=2.1), surroundings(hall)
    plan = find_plans(request, counts_channels=True).ranked[0]
    fit = fitted(
        plan,
        zones=request.zones,
        coils=around.coils,
        models={offered.name: offered for offered in request.offered},
        around=around,
        positions={},
    )
    reach = planned_reach(fit.design, around)
    assert not reach.unheard
    masters = {control.name: set(control.zones) for control in reach.controls if control.is_master}
    assert masters["Stream 2"] == {"Training room", "Office"}
    own = {control.zones for control in reach.controls if not control.is_master}
    assert own == {tuple(sorted(box.zones, key=[z.name for z in around.zones].index)) for box in fit.design.boxes}


def test_an_offer_without_a_price_leaves_prices_out(hall: Site) -> None:
    choices = [usual_choice(facts_of(hall)["Foyer"])]
    offers = [Offer(candidate=usual_offers(hall)[0].candidate, price=None)]
    found = found_for(hall, fold_request(choices, offers))
    assert found.plans[0].price is None
    assert found.notes[0] == "Make A NA-2: price not known, so prices do not count."
