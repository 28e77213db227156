"""The demo's garden centre: what is left on its old amplifier folds sensibly, and what may not be touched is said."""

from dataclasses import replace
from datetime import date

import pytest

from registry.demo.garden_centre import load_garden_centre
from registry.engineering.wording import listed
from registry.planning.folding_input import fold_request, usual_choice
from registry.planning.reach import reach
from registry.planning.surroundings import surroundings
from sites.models import Site, User
from tests.planning.asking import facts_of, found_for, usual_offers

TODAY = date(2026, 3, 12)


@pytest.fixture
def sallow_bank(tech: User) -> Site:
    return load_garden_centre(by=tech, today=TODAY)


def test_the_plant_house_takes_one_amplifier_in_three_series_pairs(sallow_bank: Site) -> None:
    facts = facts_of(sallow_bank)
    choices = [usual_choice(facts[name]) for name in ("Plant house", "Toilets", "Staff room")]
    found = found_for(sallow_bank, fold_request(choices, usual_offers(sallow_bank)))
    assert {each.zone: each.says.split(":")[0].split(" (")[0] for each in found.left_out} == {
        "Toilets": "nobody has said whether line L7 Toilets is life-safety related",
        "Staff room": "wanted level not known",
    }
    (plan,) = found.plans
    (box,) = plan.amplifiers
    # Six of 8 Ω: all in parallel are 1.33 Ω, three a channel 2.67 Ω; three pairs in series are 16/3 Ω.
    loads = [channel.load_ohm for channel in box.channels]
    assert loads == [pytest.approx(16 / 3), None]
    assert plan.in_series == ("Plant house",)


def test_with_a_wanted_level_the_staff_room_needs_an_amplifier_of_its_own(sallow_bank: Site) -> None:
    facts = facts_of(sallow_bank)
    staff = replace(usual_choice(facts["Staff room"]), wanted_db=56.0)
    request = fold_request([usual_choice(facts["Plant house"]), staff], usual_offers(sallow_bank))
    found = found_for(sallow_bank, request)
    assert [len(plan.amplifiers) for plan in found.plans] == [2]
    assert found.refusals[0].constraint == "level"
    quieter = fold_request(
        [usual_choice(facts["Plant house"]), replace(staff, control_db=18.0)], usual_offers(sallow_bank)
    )
    assert len(found_for(sallow_bank, quieter).plans[0].amplifiers) == 1


def test_every_zone_hears_its_source_the_old_amplifier_by_cable(sallow_bank: Site) -> None:
    around = surroundings(sallow_bank)
    found = reach(around.zones, around.units)
    assert (found.unheard, found.unknown, found.conflicts) == ((), (), ())
    by_zone = {zone.zone: zone.says for zone in found.zones}
    assert by_zone["Plant house"] == "Old amplifier plays Stream 1 from Endpoint 1 by cable"
    # Its endpoint's output is fixed, so the master of the shop leaves the old amplifier alone.
    master = next(control for control in found.controls if control.is_master and control.name == "Shop")
    assert listed(master.zones) == "Gift room, Houseplants, Shop floor and Tills"


def test_what_shares_its_100_volt_cable_stays_as_it_is(sallow_bank: Site) -> None:
    facts = facts_of(sallow_bank)
    assert facts["Outdoor plants"].bound == "its constant-voltage cable also feeds Café terrace, so it stays as it is"
