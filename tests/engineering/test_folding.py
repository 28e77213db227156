"""Fold plans: the worked example of the branch library, limits that bind, what is left out, what is refused."""

from dataclasses import replace

import pytest

from registry.engineering.folding import (
    AmplifierType,
    FoldCoil,
    FoldedAmplifier,
    FoldPlan,
    FoldResult,
    FoldZone,
    Mode,
    Weights,
    Wiring,
    fold,
)
from tests.engineering.folding_cases import TWO_CHANNELS, library, random_zones, two_inputs, zone


def fewest(zones: list[FoldZone], *amplifiers: AmplifierType) -> FoldPlan:
    return fold(zones, amplifiers or (TWO_CHANNELS,), explain=False).plans[0]


# Source of the next four: the worked example of a branch library (derived by hand and by enumeration, invented site).
@pytest.mark.parametrize(("tolerance_db", "amplifiers"), [(1, 6), (2, 5), (2.5, 5), (4, 5), (4.5, 4)])
def test_the_library_needs_this_many_amplifiers(tolerance_db: float, amplifiers: int) -> None:
    assert len(fewest(library(tolerance_db)).amplifiers) == amplifiers


def test_one_control_in_the_reading_room_saves_an_amplifier() -> None:
    assert len(fewest(library(2.0, control_db=9.0)).amplifiers) == 4


@pytest.mark.parametrize(("tolerance_db", "amplifiers"), [(1, 5), (2, 5), (3, 4)])
def test_a_louder_reading_room_needs_this_many_amplifiers(tolerance_db: float, amplifiers: int) -> None:
    assert len(fewest(library(tolerance_db, reading_room_db=54.0)).amplifiers) == amplifiers


def test_the_library_is_impossible_in_parallel_only_and_the_stacks_are_why() -> None:
    result = fold([replace(one, longest_string=1) for one in library(2.0)], [TWO_CHANNELS])
    assert result.plans == ()
    assert [refusal.says for refusal in result.refusals] == [
        "Stacks: 2.67 Ω on the fullest channel at best; 4 Ω or more is allowed (Two channels, mono)."
    ]


def test_at_one_decibel_three_zones_of_the_library_are_in_series_pairs() -> None:
    # Same source: "three zones in series pairs" is the price paid at ±1 dB.
    assert sorted(fewest(library(1.0)).in_series) == ["Children", "Restrooms", "Stacks"]


def test_all_zones_with_an_amplifier_each_have_no_level_error() -> None:
    plans = fold(library(2.0), [TWO_CHANNELS], explain=False).plans
    assert [len(plan.amplifiers) for plan in plans] == [5, 6, 7, 8, 9]
    assert plans[-1].level_error_db == pytest.approx(0.0, abs=1e-9)
    assert plans[-1].in_series == ("Stacks",)


def test_a_load_of_exactly_the_minimum_passes_and_says_so() -> None:
    box = fewest([replace(zone("Lobby", 2, 8.0), may_split=False)]).amplifiers[0]
    assert box.channels[0].load_ohm == pytest.approx(4.0)
    assert box.channels[0].says == (
        "Channel A: 4 Ω; 4 Ω or more is allowed, no margin: at 80 % of the nominal impedance it is 3.2 Ω, "
        "so measure before connecting."
    )
    assert box.channels[1].says == "Channel B: nothing connected."


def test_a_little_less_than_the_minimum_is_put_in_series() -> None:
    assert fewest([replace(zone("Lobby", 2, 7.99), may_split=False)]).in_series == ("Lobby",)


def test_a_series_pair_needs_six_decibels_more_drive() -> None:
    # Voltage divider: 20 lg 2 = 6.02 dB.
    one = replace(zone("Lobby", 2, 4.0), may_split=False)
    assert fewest([one]).amplifiers[0].level_db == pytest.approx(-20.0 + 6.0206, abs=1e-4)


def test_unlike_models_and_unknown_models_are_never_put_in_series() -> None:
    pair = zone("Lobby", 2, 4.0).coils
    for models in (("Make A", "Make B"), ("", "")):
        coils = tuple(replace(coil, model=model) for coil, model in zip(pair, models, strict=True))
        one = FoldZone(name="Lobby", coils=coils, wanted_db=60, level_at_283_db=80, life_safety="no", may_split=False)
        assert fold([one], [TWO_CHANNELS]).plans == ()


def test_both_inputs_of_a_loudspeaker_land_on_one_amplifier_one_on_each_channel() -> None:
    box = fewest([two_inputs("Work", 8.0)]).amplifiers[0]
    assert [[string.coils for string in channel.strings] for channel in box.channels] == [
        [("Work coil 1",)],
        [("Work coil 2",)],
    ]


def test_zones_of_another_source_hours_controller_or_line_kind_never_share() -> None:
    usual = zone("A", 1, 16.0)
    for other in (
        zone("B", 1, 16.0, source="own"),
        zone("B", 1, 16.0, hours="own"),
        zone("B", 1, 16.0, controller="own"),
        zone("B", 1, 1000.0, kind="100"),
    ):
        both = AmplifierType("Both", (Mode("low", 2, 4.0), Mode("100 V", 2, 100.0, kind="100")))
        assert len(fewest([usual, other], both).amplifiers) == 2
    assert len(fewest([usual, zone("B", 1, 16.0)]).amplifiers) == 1


def test_a_constant_voltage_zone_stays_in_parallel_and_asks_for_its_own_output() -> None:
    one = zone("Hall", 4, 1000.0, kind="100", level_at_283_db=50.0)
    hundred = AmplifierType("100 V", (Mode("100 V", 1, 100.0, kind="100"),))
    assert fewest([one], hundred).amplifiers[0].channels[0].load_ohm == pytest.approx(250.0)
    assert fold([one], [TWO_CHANNELS]).refusals[0].says == (
        "Hall: no amplifier offered has an output for its line kind, 100."
    )


@pytest.mark.parametrize(("state", "says"), [("yes", "is life-safety"), ("unknown", "may be (not known) life-safety")])
def test_a_zone_that_may_serve_life_safety_is_left_alone(state: str, says: str) -> None:
    result = fold([zone("A", 1, 8.0), zone("B", 1, 8.0, life_safety=state)], [TWO_CHANNELS])
    assert [(left.zone, left.says) for left in result.excluded] == [("B", f"{says} related: no change is offered")]
    assert [fit.zone for fit in result.plans[0].zones] == ["A"]
    assert "Leave fire, voice-alarm and emergency paging lines alone." in result.caution


def test_a_zone_without_its_figures_is_left_out_and_named() -> None:
    blank = replace(zone("B", 1, 8.0), coils=(FoldCoil("B-1", None),))
    unread = zone("C", 1, 8.0, wanted_db=None, level_at_283_db=None)
    result = fold([blank, unread], [TWO_CHANNELS])
    assert [left.says for left in result.excluded] == [
        "impedance not known: B-1",
        "not known: wanted level and level at 2.83 V",
    ]
    assert result.plans == ()
    assert result.best is None


def test_the_level_is_the_middle_of_two_needs_and_the_median_of_three() -> None:
    levels = (60.0, 61.0, 62.5)
    some = [zone(f"Z{n}", 1, 16.0, wanted_db=level, tolerance_db=3.0) for n, level in enumerate(levels)]
    assert fewest(some[:2]).amplifiers[0].level_db == pytest.approx(-19.5)
    assert fewest(some).amplifiers[0].level_db == pytest.approx(-19.0)


def test_a_heavier_zone_draws_the_level_to_itself() -> None:
    light, heavy = zone("A", 1, 16.0, wanted_db=60.0), zone("B", 1, 16.0, wanted_db=61.5, weight=3.0)
    plan = fewest([light, heavy])
    assert [round(fit.error_db, 6) for fit in plan.zones] == [1.5, 0.0]


def test_the_highest_drive_of_the_amplifier_holds_the_level_down() -> None:
    weak = AmplifierType("Weak", (Mode("mono", 2, 4.0, max_drive_db=-21.0),))
    assert fewest([zone("A", 1, 8.0)], weak).worst.error_db == pytest.approx(-1.0)
    result = fold([zone("A", 1, 8.0, wanted_db=63.5)], [weak])
    assert result.refusals[0].constraint == "drive"
    assert result.refusals[0].says == ("A: it needs −16.5 dB re 2.83 V, which amplifier or loudspeakers do not allow.")


def test_the_rating_of_a_loudspeaker_holds_the_level_down() -> None:
    # −20 dB re 2.83 V into 8 Ω is 0.283²/8 = 10.01 mW, and 10 lg(8/10.01) = −0.974 dB.
    one = replace(zone("A", 1, 8.0), coils=(FoldCoil("A-1", 8.0, rated_power_w=0.008),))
    assert fewest([one]).worst.error_db == pytest.approx(-0.974, abs=1e-3)


def test_stereo_needs_one_room_on_every_channel() -> None:
    stereo = AmplifierType("Stereo", (Mode("stereo", 2, 4.0, mono=False),))
    bar = FoldZone(
        name="Bar",
        coils=(FoldCoil("L", 8.0, room="bar"), FoldCoil("R", 8.0, room="bar")),
        wanted_db=60,
        level_at_283_db=80,
        life_safety="no",
    )
    assert fewest([bar], stereo).amplifiers[0].content == "stereo"
    assert content_of(fewest([replace(bar, today=Wiring(1, 2))])) == "mono or stereo"
    for rooms in (("bar", "hall"), ("", "")):
        apart = replace(bar, coils=tuple(replace(c, room=r) for c, r in zip(bar.coils, rooms, strict=True)))
        assert fold([apart], [stereo]).refusals[0].constraint == "mono"
        assert content_of(fewest([replace(apart, today=Wiring(1, 2))])) == "mono"


def content_of(plan: FoldPlan) -> str:
    return plan.amplifiers[0].content


def test_today_s_wiring_is_kept_where_nothing_is_gained_by_changing_it() -> None:
    for today in (Wiring(1, 1), Wiring(2, 1), Wiring(1, 2)):
        plan = fewest([zone("Lobby", 4, 16.0, today=today)])
        assert plan.rewired == ()
    assert fewest([zone("Stacks", 6, 8.0, today=Wiring())]).rewired == ("Stacks",)


def test_a_string_across_rooms_says_what_one_open_coil_silences() -> None:
    rooms = tuple(FoldCoil(f"LS{n}", 8.0, model="Make A", room=f"restroom {n}") for n in (1, 2))
    plan = fewest([replace(zone("Restrooms", 1, 8.0, today=Wiring(2, 1)), coils=rooms)])
    assert plan.single_faults == ("Restrooms: one open coil silences LS1 and LS2 in restroom 1 and restroom 2.",)


def test_longer_strings_are_used_only_where_the_user_allows_them() -> None:
    four = replace(zone("Hall", 4, 4.0), may_split=False)
    assert fewest([four]).zones[0].per_string == 2
    twelve = replace(zone("Hall", 12, 8.0), may_split=False)
    assert fold([twelve], [TWO_CHANNELS]).plans == ()
    assert fewest([replace(twelve, longest_string=3)]).zones[0].per_string == 3


def test_the_cheaper_of_two_suitable_amplifiers_is_taken_and_prices_are_added() -> None:
    dear, cheap = replace(TWO_CHANNELS, name="Dear", price=900.0), replace(TWO_CHANNELS, name="Cheap", price=500.0)
    plan = fewest([zone("A", 1, 8.0), zone("B", 1, 8.0, source="own")], dear, cheap)
    assert [box.amplifier for box in plan.amplifiers] == ["Cheap", "Cheap"]
    assert plan.price == 1000.0


def test_an_unknown_price_or_drive_is_named_and_never_taken_for_zero() -> None:
    dear, unpriced = replace(TWO_CHANNELS, name="Dear", price=900.0), replace(TWO_CHANNELS, name="Unpriced")
    result = fold([zone("A", 1, 8.0)], [unpriced, dear])
    assert result.notes == (
        "Unpriced: price not known, so prices do not count.",
        "Unpriced, Dear: highest drive not known, so it is not checked.",
    )
    assert result.plans[0].price is None


def test_weights_can_turn_the_order_round() -> None:
    zones = [zone("A", 1, 16.0, wanted_db=60.0), zone("B", 1, 16.0, wanted_db=63.0)]
    cheap_boxes = fold(zones, [TWO_CHANNELS], weights=Weights(amplifier=1.0), explain=False)
    assert cheap_boxes.best is cheap_boxes.plans[-1]
    usual = fold(zones, [TWO_CHANNELS], explain=False)
    assert usual.best is usual.plans[0]
    assert [len(plan.amplifiers) for plan in usual.plans] == [1, 2]


def test_the_order_in_which_zones_are_given_does_not_matter() -> None:
    zones = random_zones(7, 5)
    forwards = fold(zones, [TWO_CHANNELS], explain=False)
    backwards = fold(zones[::-1], [TWO_CHANNELS], explain=False)
    assert penalties(forwards) == pytest.approx(penalties(backwards))


def penalties(result: FoldResult) -> list[float]:
    return [plan.penalty for plan in result.plans]


def test_fourteen_zones_are_solved_whole() -> None:
    zones = random_zones(14, 14)
    plans = fold(zones, [TWO_CHANNELS], explain=False).plans
    assert sorted(fit.zone for fit in plans[0].zones) == sorted(one.name for one in zones)
    assert [len(plan.amplifiers) for plan in plans][-1] == 14


def first_amplifier(zones: list[FoldZone]) -> FoldedAmplifier:
    return fewest(zones).amplifiers[0]


def test_a_zone_is_spread_over_channels_only_where_its_cables_allow() -> None:
    stacks = zone("Stacks", 4, 8.0, longest_string=1)
    assert fold([stacks], [TWO_CHANNELS]).plans != ()
    assert fold([replace(stacks, may_split=False)], [TWO_CHANNELS]).plans == ()
    assert [channel.load_ohm for channel in first_amplifier([stacks]).channels] == pytest.approx([4.0, 4.0])
