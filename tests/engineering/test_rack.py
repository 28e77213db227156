"""A rack's tally and verdicts, its unknowns, and what is refused."""

import math

import pytest

from registry.engineering.poe import poe_budget, poe_delivered_w, poe_needed_w
from registry.engineering.rack import (
    Rack,
    RackItem,
    RackLoad,
    airflow_m3_per_h,
    circuit_limit_a,
    collisions,
    current_a,
    rack_load,
    ups_minutes,
)

RACK = Rack(12, max_load_kg=50.0, circuit_v=120.0, circuit_a=15.0, ups_va=1000.0, ups_w=700.0, ups_wh=200.0)
AMP = RackItem("AMP 1", 2, 1, weight_kg=12.0, idle_w=50.0, max_w=400.0)
SWITCH = RackItem("SW 1", 1, 3, weight_kg=4.0, idle_w=20.0, max_w=100.0)


def verdicts(load: RackLoad) -> dict[str, str]:
    return {check.code: check.verdict for check in load.checks}


def says(load: RackLoad, code: str) -> str:
    return next(check.says for check in load.checks if check.code == code)


def test_a_rack_adds_up() -> None:
    load = rack_load(rack=RACK, items=[AMP, SWITCH])
    assert (load.used_u, load.free_u, load.weight_kg, load.idle_w, load.max_w) == (3, 9, 16.0, 70.0, 500.0)
    assert load.heat_btu_h == pytest.approx(1706.07, abs=0.005)  # reference row RAK-023
    assert load.current_a == pytest.approx(500 / 120)
    assert load.circuit_limit_a == pytest.approx(12.0)
    assert load.ups_minutes == pytest.approx(60 * 200 * 0.9 * 0.8 / 500)
    assert verdicts(load) == {"units": "pass", "weight": "pass", "current": "pass", "ups": "pass"}
    assert load.verdict == "pass"
    assert says(load, "ups").endswith("It lasts about 17.3 min by energy balance only: test it.")


def test_an_empty_rack_is_empty_and_not_unknown() -> None:
    load = rack_load(rack=RACK, items=[])
    assert (load.used_u, load.free_u, load.weight_kg, load.max_w, load.current_a) == (0, 12, 0.0, 0.0, 0.0)
    assert set(verdicts(load).values()) == {"pass"}


def test_an_unknown_weight_is_named_and_the_sum_is_a_least() -> None:
    load = rack_load(rack=RACK, items=[AMP, RackItem("UPS 1", 2, 4, idle_w=10.0, max_w=20.0)])
    assert (load.weight_kg, load.unknown["weight_kg"]) == (12.0, ("UPS 1",))
    assert verdicts(load)["weight"] == "unknown"
    assert says(load, "weight") == "The items weigh at least 12 kg; the weight of UPS 1 is not known."


def test_a_rack_that_is_over_already_fails_whatever_is_unknown() -> None:
    heavy = RackItem("UPS 1", 2, 4, weight_kg=45.0)
    load = rack_load(rack=RACK, items=[AMP, heavy, RackItem("SW 2", 1, 7)])
    assert verdicts(load)["weight"] == "fail"
    assert says(load, "weight") == "The items weigh at least 57 kg; the rack may carry 50 kg."


def test_nothing_known_is_none_and_never_zero() -> None:
    load = rack_load(rack=Rack(12), items=[RackItem("AMP 1")])
    assert (load.used_u, load.free_u, load.weight_kg, load.idle_w, load.max_w) == (None,) * 5
    assert (load.heat_btu_h, load.current_a, load.circuit_limit_a, load.ups_minutes) == (None,) * 4
    assert verdicts(load) == {"units": "unknown", "weight": "unknown", "current": "unknown"}


# NEC 210.20(A): a 15 A circuit takes 12 A of continuous load; 12 A at 120 V is 1440 W.
@pytest.mark.parametrize(("watts", "verdict"), [(1440.0, "pass"), (1441.0, "fail")])
def test_the_current_is_held_against_eighty_percent_of_the_circuit(watts: float, verdict: str) -> None:
    rack = Rack(12, circuit_v=120.0, circuit_a=15.0)
    load = rack_load(rack=rack, items=[RackItem("AMP 1", 2, 1, max_w=watts)])
    assert verdicts(load)["current"] == verdict
    assert "a 15 A circuit takes 12 A of continuous load" in says(load, "current")


def test_watts_that_are_not_known_leave_the_current_a_least() -> None:
    load = rack_load(rack=RACK, items=[AMP, RackItem("SW 2", 1, 5)])
    assert verdicts(load)["current"] == "unknown"
    assert "at least 3.33 A" in says(load, "current")


def test_a_ups_that_is_too_small_fails() -> None:
    load = rack_load(rack=Rack(12, ups_va=450.0, ups_w=500.0), items=[AMP, SWITCH])
    assert says(load, "ups") == "At full power the rack asks for 500 W; the UPS gives 450 W."
    assert verdicts(load)["ups"] == "fail"


def test_a_ups_of_unknown_rating_is_unknown() -> None:
    assert verdicts(rack_load(rack=Rack(12, ups_wh=200.0), items=[AMP]))["ups"] == "unknown"


@pytest.mark.parametrize(
    ("other", "clash"),
    [
        (RackItem("X", 1, 2), True),
        (RackItem("X", 1, 3), False),
        (RackItem("X", 3, 1), True),
        (RackItem("X", 1, 2, "rear"), False),
        (RackItem("X", 1, 2, "both"), True),
        (RackItem("X", 0, 2), False),
        (RackItem("X", 2, None), False),
    ],
)
def test_items_collide_on_the_same_rails_only(other: RackItem, clash: bool) -> None:
    assert bool(collisions([AMP, other])) is clash
    assert verdicts(rack_load(rack=RACK, items=[AMP, other]))["units"] == ("fail" if clash else _without_clash(other))


def _without_clash(item: RackItem) -> str:
    return "unknown" if item.position_u is None else "pass"


def test_a_collision_is_told_with_its_units() -> None:
    load = rack_load(rack=RACK, items=[AMP, RackItem("AMP 2", 2, 1)])
    assert load.says == "AMP 1 and AMP 2 both claim U 1 to 2."
    assert load.used_u == 2


def test_an_item_above_the_rack_fails() -> None:
    load = rack_load(rack=RACK, items=[RackItem("AMP 1", 2, 12)])
    assert load.says == "AMP 1 stands above the 12 units of the rack."


def test_front_and_rear_of_the_same_unit_count_once() -> None:
    assert rack_load(rack=RACK, items=[AMP, RackItem("PDU", 1, 2, "rear")]).used_u == 2


def test_an_item_whose_place_is_not_known_still_takes_its_units() -> None:
    load = rack_load(rack=RACK, items=[AMP, RackItem("AMP 2", 11)])
    assert (load.used_u, load.free_u, load.unknown["units"]) == (13, -1, ("AMP 2",))
    assert says(load, "units") == "The items need 13 units; the rack has 12."


def test_poe_ports_of_unknown_class_leave_the_budget_unknown_unless_it_is_over() -> None:
    assert poe_budget(ports={4: 2}, budget_w=100.0, unknown_ports=1).check.verdict == "unknown"
    assert poe_budget(ports={4: 4}, budget_w=100.0, unknown_ports=1).check.verdict == "fail"
    assert poe_budget(ports={4: 2}, budget_w=None).check.verdict == "unknown"
    assert poe_needed_w({4: 2}, basis="pd") == 51.0


@pytest.mark.parametrize(
    ("wrong", "match"),
    [
        (lambda: Rack(0), "height_u is 0 U"),
        (lambda: Rack(12, circuit_v=0.0), "circuit_v is 0.0"),
        (lambda: RackItem("A", 1, 0), "position_u of A is 0 U"),
        (lambda: RackItem("A", -1), "rack_units of A is -1"),
        (lambda: RackItem("A", weight_kg=math.nan), "weight_kg of A is nan"),
        (lambda: RackItem("A", face="side"), "face of A"),
        (lambda: rack_load(rack=RACK, items=[AMP, AMP]), "twice"),
        (lambda: poe_needed_w({9: 1}), "PoE class"),
        (lambda: poe_needed_w({3: -1}), "number of ports of class 3"),
        (lambda: poe_needed_w({3: 1}, basis="VA"), "basis must be"),
        (lambda: poe_delivered_w(pse_w=90.0, pse_v=10.0, pairset_loop_ohm=20.0), "the cable would take"),
        (lambda: poe_delivered_w(pse_w=90.0, pse_v=52.0, pairset_loop_ohm=12.5, pairsets=3), "pairsets must be"),
        (lambda: circuit_limit_a(0.0), "circuit_a is 0.0"),
        (lambda: current_a(watts=100.0, volts=120.0, power_factor=1.2), "power_factor is 1.2"),
        (lambda: airflow_m3_per_h(heat_w=100.0, rise_k=0.0), "rise_k is 0.0"),
        (lambda: ups_minutes(load_w=0.0, energy_wh=200.0), "load_w is 0.0"),
        (lambda: ups_minutes(load_w=10.0, energy_wh=200.0, efficiency=90), "efficiency is 90"),
    ],
)
def test_nonsense_is_refused(wrong: object, match: str) -> None:
    with pytest.raises(ValueError, match=match):
        wrong()
