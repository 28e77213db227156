"""What the register knows of zones: figures with where they come from, and a sentence for what is missing."""

import math
from dataclasses import replace
from typing import Any

import pytest

from registry.audio.models import Coil, Line, Loudspeaker, Zone
from registry.equipment.models import LoudspeakerSpec
from registry.exchange.importing import import_survey
from registry.planning.folding_input import fold_request, usual_choice
from registry.planning.zone_facts import ZoneFacts
from sites.models import Site, Space, User
from tests.exchange.small_survey import edited, survey
from tests.planning.asking import facts_of, usual_offers

SHOP_READING = "acre,Shop,as left,2025-06-01T10:30,50,60,62.5,45,1.2,P1 by the till,Meter A,2,Track 1\n"


@pytest.fixture
def acre(tech: User) -> Site:
    """Two zones: Shop with two in series, read with 1.2 V; Yard on a 100 V line, read without volts."""
    import_survey(survey(), by=tech)
    return Site.objects.get(code="acre")


def left_out(site: Site, *names: str, **changes: Any) -> dict[str, str]:
    facts = facts_of(site)
    choices = [replace(usual_choice(facts[name]), **changes) for name in names]
    return {each.zone: each.says for each in fold_request(choices, usual_offers(site)).left_out}


def test_a_reading_with_volts_gives_the_level_at_283_with_all_in_parallel(acre: Site) -> None:
    shop = facts_of(acre)["Shop"]
    # 62.5 dB with 1.2 V is 7.45 dB below 2.83 V (definition of a level); two in series give each 6.02 dB less.
    assert shop.at_283.value == pytest.approx(62.5 + 20 * math.log10(2.83 / 1.2) + 20 * math.log10(2), abs=0.01)
    assert shop.at_283.says == "read 1 Jun 2025: 62.5 dB with 1.2 V at the terminals, 2 in series"
    assert (shop.wanted.value, shop.wanted.says) == (62.5, "newest reading; there is no baseline of it")
    assert shop.today is not None
    assert (shop.today.per_string, shop.today.channels) == (2, 1)


def test_without_volts_the_level_comes_from_sensitivity_power_distance_and_number(tech: User) -> None:
    import_survey(edited("levels", SHOP_READING, ""), by=tech)
    acre = Site.objects.get(code="acre")
    shop = facts_of(acre)["Shop"]
    # Inverse distance law: 88 dB at 1 m with 1 W; 2.83 V into 8 Ω is 1.001 W; 9 ft − 1.2 m is 1.543 m; two add 3 dB.
    expected = 88 + 10 * math.log10(2.83**2 / 8) - 20 * math.log10(9 * 0.3048 - 1.2) + 10 * math.log10(2)
    assert shop.at_283.value == pytest.approx(expected, abs=0.01)
    assert shop.at_283.says.startswith("calculated: 2 at 1.54 m in the free field")
    assert left_out(acre, "Shop") == {
        "Shop": "wanted level not known (no baseline and no reading: read the zone, or type the level that is wanted)"
    }


def test_a_transformer_takes_its_tap_and_its_loss_into_account(acre: Site) -> None:
    space = Space.objects.get(site=acre)
    Zone.objects.filter(name="Yard").update(space=space)
    yard = facts_of(acre)["Yard"]
    # A tap of 10 W at 100 V gives 10·(2.83/100)² W at 2.83 V, one of 5 W half of it; 1 dB is lost in each transformer.
    each = [88 + 10 * math.log10(tap * 0.0283**2) - 1 - 20 * math.log10(9 * 0.3048 - 1.2) for tap in (10, 5)]
    expected = 10 * math.log10(sum(10 ** (level / 10) for level in each))
    assert yard.at_283.value == pytest.approx(expected, abs=0.01)
    assert (yard.kind, yard.longest_string) == ("100", 1)


def test_what_a_calculation_lacks_is_named(acre: Site) -> None:
    LoudspeakerSpec.objects.update(sensitivity_db=None)
    assert left_out(acre, "Yard") == {
        "Yard": "level at 2.83 V not known (no reading with volts at the terminals: take one, or record the space "
        "(ceiling and listener height) and the sensitivity)"
    }


def test_a_ceiling_below_the_ears_is_no_distance(acre: Site) -> None:
    Space.objects.update(ceiling_m=1.0)
    Zone.objects.filter(name="Yard").update(space=Space.objects.get(site=acre))
    assert "is not above the listeners' ears" in left_out(acre, "Yard")["Yard"]


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        ("yes", "line L1 is life-safety related: no change is offered"),
        ("unknown", "nobody has said whether line L1 is life-safety related: no change is offered"),
    ],
)
def test_lines_that_may_serve_life_safety_are_left_out_and_said(acre: Site, answer: str, says: str) -> None:
    Line.objects.filter(name="L1").update(life_safety=answer)
    assert left_out(acre, "Shop") == {"Shop": says}


def test_a_zone_without_a_connected_loudspeaker_says_so(acre: Site) -> None:
    Coil.objects.filter(line__name="L1").delete()
    assert left_out(acre, "Shop") == {"Shop": "no loudspeaker of it is connected"}


def test_zones_that_share_a_series_string_are_planned_together_or_not_at_all(acre: Site) -> None:
    bar = Zone.objects.create(site=acre, name="Bar")
    Loudspeaker.objects.filter(label="LS2").update(zone=bar)
    assert left_out(acre, "Shop")["Shop"] == "one of its strings also holds a loudspeaker of Bar: choose that zone too"
    assert "Shop" not in left_out(acre, "Shop", "Bar")


def test_a_constant_voltage_cable_that_feeds_two_zones_stays_as_it_is(acre: Site) -> None:
    bar = Zone.objects.create(site=acre, name="Bar")
    Loudspeaker.objects.filter(label="LS4").update(zone=bar)
    assert left_out(acre, "Yard", "Bar") == {
        "Yard": "its constant-voltage cable also feeds Bar, so it stays as it is",
        "Bar": "its constant-voltage cable also feeds Yard, so it stays as it is",
    }


def test_lines_of_two_kinds_under_one_zone_are_not_folded(acre: Site) -> None:
    Loudspeaker.objects.filter(label="LS3").update(zone=Zone.objects.get(name="Shop"))
    assert left_out(acre, "Shop") == {"Shop": "its loudspeakers hang on lines of different kinds"}


def test_an_impedance_a_tap_or_a_model_that_is_not_known_is_named(acre: Site) -> None:
    LoudspeakerSpec.objects.update(impedance_ohm=None)
    assert left_out(acre, "Shop") == {"Shop": "impedance not known: LS1 and LS2"}
    Coil.objects.filter(loudspeaker__label="LS4").update(tap_w=None)
    assert left_out(acre, "Yard") == {"Yard": "tap not known: LS4"}
    LoudspeakerSpec.objects.update(impedance_ohm=8)
    Loudspeaker.objects.filter(label="LS2").update(make_model=None)
    assert "LS2" in left_out(acre, "Shop")["Shop"]


def test_strings_of_unlike_length_make_a_reading_useless(acre: Site) -> None:
    Coil.objects.filter(loudspeaker__label="LS2").update(string="2", order=1)
    extra = Coil.objects.get(loudspeaker__label="LS1")
    unit = Loudspeaker.objects.create(
        site=acre, label="LS9", zone=extra.loudspeaker.zone, make_model=extra.loudspeaker.make_model
    )
    Coil.objects.create(loudspeaker=unit, line=extra.line, string="2", order=2)
    shop: ZoneFacts = facts_of(acre)["Shop"]
    assert shop.today is None
    assert shop.at_283.says.startswith("calculated: 3 at")


def test_a_level_in_noise_is_taken_without_its_background(tech: User) -> None:
    import_survey(edited("levels", "62.5,45,1.2", "62.5,55,1.2"), by=tech)
    shop = facts_of(Site.objects.get(code="acre"))["Shop"]
    # ISO 3744, 8.2.3: 7.5 dB above the background K1 is −10 lg(1 − 10^−0.75).
    k1_db = -10 * math.log10(1 - 10**-0.75)
    assert shop.wanted.value == pytest.approx(62.5 - k1_db, abs=0.01)
    assert shop.at_283.value == pytest.approx(62.5 - k1_db + 20 * math.log10(2.83 / 1.2) + 20 * math.log10(2), abs=0.01)


def test_a_reading_that_is_nearly_all_background_tells_no_level(tech: User) -> None:
    import_survey(edited("levels", "62.5,45,1.2", "62.5,60,1.2"), by=tech)
    shop = facts_of(Site.objects.get(code="acre"))["Shop"]
    assert shop.wanted.value == 62.5  # what was read is what was agreed; it can't be told apart from the noise
    assert shop.at_283.says.startswith("calculated")


def test_a_constant_voltage_zone_keeps_its_kind_and_is_not_spread(acre: Site) -> None:
    Zone.objects.filter(name="Yard").update(space=Space.objects.get(site=acre))
    choice = usual_choice(facts_of(acre)["Yard"])
    (zone,) = fold_request([choice], usual_offers(acre)).zones
    assert (zone.kind, zone.may_split, zone.longest_string) == ("100", False, 1)
    assert [coil.impedance_ohm for coil in zone.coils] == [1000.0, 2000.0]  # V²/P
