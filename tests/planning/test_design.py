"""Places, lines, cables and work of a design: what stays keeps its name and its cable, what changes is counted."""

from collections.abc import Sequence

import pytest

from registry.engineering.folding import FoldPlan
from registry.planning.computing import Fitted, fitted
from registry.planning.surroundings import FilledPlace, Surroundings
from registry.planning.wired import WiredCoil
from tests.planning.wiring_cases import NA_2, around, coil, plan_of, zone_of

PAIR = (coil("LS1", string="1"), coil("LS2", string="2", cable_m=14.0))
CHAIN = tuple(coil(f"LS{n}", order=n, cable_m=5.0 * n) for n in (1, 2, 3))


def fit(plan: FoldPlan, coils: Sequence[WiredCoil], site: Surroundings | None = None) -> Fitted:
    zones = [zone_of(coils, name) for name in dict.fromkeys(each.zone for each in coils)]
    used = {fit.zone for amplifier in plan.amplifiers for fit in amplifier.zones}
    return fitted(
        plan,
        zones=[zone for zone in zones if zone.name in used],
        coils=coils,
        models={NA_2.name: NA_2},
        around=site or around(coils),
        positions={},
    )


def runs(found: Fitted) -> dict[str, tuple[float | None, bool, bool]]:
    return {c.wired.loudspeaker: (c.run.cable_m, c.run.is_new, c.run.chained) for c in found.design.coils}


def test_two_that_come_to_the_rack_by_themselves_are_put_in_series_there() -> None:
    found = fit(plan_of({"1": [("Bar", ["LS1", "LS2"])]}), PAIR)
    assert runs(found) == {"LS1": (10.0, False, False), "LS2": (14.0, False, False)}
    assert (found.work.at_rack, found.work.at_height, found.work.new_runs) == (4, 0, 0)
    # Ohm's law: 16 Ω and 2 × (10 + 14) m of copper of 1.5 mm² at 1.7241e-8 Ω·m, both in series.
    assert found.loads[0].impedance_ohm == pytest.approx(16 + 48 * 1.7241e-8 / 1.5e-6, rel=1e-4)


def test_a_chain_that_stays_a_chain_moves_with_its_two_conductors() -> None:
    found = fit(plan_of({"1": [("Bar", ["LS1", "LS2", "LS3"])]}), CHAIN)
    assert runs(found) == {"LS1": (5.0, False, False), "LS2": (10.0, False, True), "LS3": (15.0, False, True)}
    assert (found.work.at_rack, found.work.at_height) == (2, 0)


def test_a_chain_that_is_parted_needs_new_runs_as_long_as_the_way_through_the_others() -> None:
    found = fit(plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"]), ("Bar", ["LS3"])]}), CHAIN)
    assert runs(found) == {"LS1": (5.0, False, False), "LS2": (15.0, True, False), "LS3": (30.0, True, False)}
    # Two conductors of each at the rack; at every loudspeaker a neighbour has changed.
    assert (found.work.at_rack, found.work.at_height, found.work.new_runs) == (6, 6, 2)


def test_the_beginning_of_a_chain_stays_and_the_rest_gets_a_run_of_its_own() -> None:
    found = fit(plan_of({"1": [("Bar", ["LS1", "LS2"]), ("Bar", ["LS3"])]}), CHAIN)
    assert runs(found) == {"LS1": (5.0, False, False), "LS2": (10.0, False, True), "LS3": (30.0, True, False)}
    assert (found.work.at_rack, found.work.at_height, found.work.new_runs) == (4, 4, 1)


def test_a_length_that_is_not_known_on_the_way_leaves_the_run_unknown() -> None:
    chain = (coil("LS1", cable_m=None), coil("LS2", order=2))
    found = fit(plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"])]}), chain)
    assert runs(found)["LS2"] == (None, True, False)


def test_a_line_that_stays_together_and_alone_keeps_its_name() -> None:
    found = fit(plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"])]}), PAIR)
    assert [(line.name, line.place, line.channel) for line in found.design.lines] == [("L1", "Amplifier 1", "1")]
    assert found.design.emptied == ()


def test_lines_that_are_joined_or_parted_get_new_names_and_the_old_ones_are_empty() -> None:
    coils = (*PAIR, coil("LS3", line="L2", zone="Hall", channel="2"))
    joined = fit(plan_of({"1": [("Bar", ["LS1"]), ("Hall", ["LS3"])], "2": [("Bar", ["LS2"])]}), coils)
    assert [line.name for line in joined.design.lines] == ["Amplifier 1 1: Bar + Hall", "Amplifier 1 2: Bar"]
    assert joined.design.emptied == ("L1", "L2")


def test_a_line_that_keeps_a_loudspeaker_of_another_zone_is_not_empty() -> None:
    coils = (*PAIR, coil("LS3", string="3", zone="Hall"))
    found = fit(plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"])]}), coils)
    assert found.design.lines[0].name == "Amplifier 1 1: Bar"
    assert found.design.emptied == ()
    assert {each.wired.zone for each in found.design.coils} == {"Bar"}


def test_a_name_that_is_taken_gets_a_number_and_a_long_one_is_cut() -> None:
    long = "A very long zone name that goes on and on, longer than any label would bear it"
    coils = (coil("LS1", zone=long), coil("LS2", zone=long, string="2"))
    plan = plan_of({"1": [(long, ["LS1"])], "2": [(long, ["LS2"])]})
    names = [line.name for line in fit(plan, coils).design.lines]
    assert all(len(name) <= 80 for name in names)
    taken = around(coils, lines=frozenset({"L1", names[0]}))
    assert fit(plan, coils, taken).design.lines[0].name.endswith(" (2)")


def test_a_freed_place_of_the_same_model_is_taken_before_one_is_bought() -> None:
    here = [FilledPlace("Amplifier 1", "Make A NA-2"), FilledPlace("Amplifier 2", "Make A NA-2")]
    coils = (coil("LS1", amplifier="Amplifier 1"), coil("LS2", line="L2", zone="Hall", amplifier="Amplifier 2"))
    site = around(coils, amplifiers=tuple(here))
    both = fit(plan_of({"1": [("Hall", ["LS2"])]}, {"1": [("Bar", ["LS1"])]}), coils, site)
    assert [box.seat.place for box in both.design.boxes] == ["Amplifier 2", "Amplifier 1"]
    assert (both.bought, both.price, both.work.terminations) == ({}, 0, 0)
    one = fit(plan_of({"1": [("Bar", ["LS1"])]}), coils, site)
    assert [(box.seat.place, box.seat.is_new) for box in one.design.boxes] == [("Amplifier 1", False)]


def test_a_place_that_still_drives_somebody_else_is_not_taken() -> None:
    coils = (
        coil("LS1", amplifier="Amplifier 1"),
        coil("LS2", line="L2", zone="Hall", amplifier="Amplifier 1", channel="2"),
    )
    site = around(coils, amplifiers=(FilledPlace("Amplifier 1", "Make A NA-2"),))
    found = fit(plan_of({"1": [("Bar", ["LS1"])]}), coils, site)
    assert [(box.seat.place, box.seat.is_new) for box in found.design.boxes] == [("Amplifier 2", True)]
    assert (found.bought, found.price) == ({"Make A NA-2": 1}, 640.0)


def test_both_coils_of_a_loudspeaker_are_told_apart() -> None:
    coils = tuple(coil("LS1", string=n, coil=n) for n in ("1", "2"))
    found = fit(plan_of({"1": [("Bar", ["LS1 coil 1"])], "2": [("Bar", ["LS1 coil 2"])]}), coils)
    assert [(line.channel, line.coils[0].wired.key) for line in found.design.lines] == [
        ("1", ("LS1", "1")),
        ("2", ("LS1", "2")),
    ]


def test_a_constant_voltage_line_keeps_chain_taps_and_cable() -> None:
    chain = tuple(coil(f"LS{n}", order=n, kind="100", tap_w=10.0, string="East") for n in (1, 2))
    zone = zone_of(chain, kind="100")
    found = fitted(
        plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"])]}),
        zones=[zone],
        coils=chain,
        models={NA_2.name: NA_2},
        around=around(chain),
        positions={},
    )
    (line,) = found.design.lines
    assert [(c.string, c.order, c.run.cable_m, c.wired.tap_w) for c in line.coils] == [
        ("East", 1, 10.0, 10.0),
        ("East", 2, 10.0, 10.0),
    ]
    assert (line.kind, found.work.at_rack, found.work.at_height) == ("100", 2, 0)


def test_what_each_failure_silences_is_said() -> None:
    coils = (*PAIR, coil("LS3", line="L2", zone="Hall"))
    # 16 Ω beside 8 Ω: a short of LS1 leaves 8 Ω beside 8 Ω, which is 4 Ω and some cable; one of LS3 is a dead short.
    found = fit(plan_of({"1": [("Bar", ["LS1", "LS2"]), ("Hall", ["LS3"])]}), coils)
    assert found.faults == (
        "Bar: one open coil silences LS1 and LS2.",
        "Amplifier 1 channel 1: a short in LS3 silences all of it.",
        "Amplifier 1 fails: Bar and Hall fall silent together.",
    )


def test_what_a_short_does_depends_on_who_is_in_series_with_it() -> None:
    alone = fit(plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"])]}), PAIR)
    assert alone.faults[0] == "Amplifier 1 channel 1: a short in any of its loudspeakers silences all of it."
    paired = fit(plan_of({"1": [("Bar", ["LS1", "LS2"])]}), PAIR)
    assert paired.faults[1] == "Amplifier 1 channel 1: it carries on with any one loudspeaker shorted."
