"""Networks by their laws: energy, order, monotony, depth, opens and shorts."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.engineering.network import Parallel, Resistor, Series, Tree, impedance, solve

ohms = st.floats(min_value=0.01, max_value=100_000.0)
leaves = ohms.map(Resistor)
volts = st.floats(min_value=0.1, max_value=200.0)


def groups(parts: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    several = st.lists(parts, min_size=1, max_size=4)
    return several.map(Series) | several.map(Parallel)


trees = st.recursive(leaves, groups, max_leaves=25)


@given(tree=trees, across=volts)
def test_the_leaves_take_all_the_power_that_goes_in(tree: Tree, across: float) -> None:
    taken_w = math.fsum(leaf.watts for leaf in solve(tree, across))
    assert taken_w == pytest.approx(across**2 / impedance(tree), rel=1e-12)


@given(tree=trees, across=volts)
def test_every_leaf_obeys_ohms_law(tree: Tree, across: float) -> None:
    for leaf in solve(tree, across):
        assert leaf.volts == pytest.approx(leaf.amperes * leaf.ohm, rel=1e-12)
        assert leaf.watts == pytest.approx(leaf.volts**2 / leaf.ohm, rel=1e-12)


@given(parts=st.lists(trees, min_size=2, max_size=5), group=st.sampled_from([Series, Parallel]))
def test_the_order_of_parts_does_not_matter(parts: list[Tree], group: Callable[[list[Tree]], Tree]) -> None:
    assert impedance(group(parts)) == pytest.approx(impedance(group(parts[::-1])), rel=1e-12)


@given(tree=trees, another=trees)
def test_one_more_in_parallel_never_raises_the_impedance(tree: Tree, another: Tree) -> None:
    assert impedance(Parallel([tree, another])) <= impedance(tree) * (1 + 1e-12)


@given(tree=trees, another=trees)
def test_one_more_in_series_never_lowers_the_impedance(tree: Tree, another: Tree) -> None:
    assert impedance(Series([tree, another])) >= impedance(tree) * (1 - 1e-12)


@given(tree=trees, across=volts)
def test_twice_the_voltage_is_four_times_the_power(tree: Tree, across: float) -> None:
    once, twice = solve(tree, across), solve(tree, 2 * across)
    assert [leaf.watts for leaf in twice] == pytest.approx([4 * leaf.watts for leaf in once], rel=1e-12)


@settings(max_examples=5)
@given(cable=st.floats(min_value=0.1, max_value=1.0), load=st.floats(min_value=100.0, max_value=5_000.0))
def test_an_endless_ladder_has_the_impedance_of_the_textbook(cable: float, load: float) -> None:
    # Feynman Lectures vol. II, 22-6 (from memory): an infinite ladder has Z = R/2 + √(R²/4 + R·Z2). With 4,000 rungs
    # the far end no longer counts; the depth also shows that no recursion limit is met.
    tree: Tree = Resistor(load)
    for _ in range(4_000):
        tree = Series([Resistor(cable), Parallel([Resistor(load), tree])])
    endless = cable / 2 + math.sqrt(cable**2 / 4 + cable * load)
    assert impedance(tree) == pytest.approx(endless, rel=1e-9)
    assert math.fsum(leaf.watts for leaf in solve(tree, 1.0)) == pytest.approx(1 / endless, rel=1e-9)


def test_leaves_come_in_the_order_in_which_they_are_wired() -> None:
    tree = Series([Resistor(1, "a"), Parallel([Resistor(2, "b"), Series([Resistor(3, "c"), Resistor(4, "d")])])])
    assert [leaf.label for leaf in solve(tree, 1.0)] == ["a", "b", "c", "d"]


def test_the_same_part_may_stand_in_several_places() -> None:
    eight = Resistor(8.0, "LS")
    assert [leaf.volts for leaf in solve(Series([eight, Parallel([eight, eight])]), 12.0)] == [8.0, 4.0, 4.0]


def test_an_open_part_silences_its_string_and_no_other() -> None:
    tree = Parallel([Series([Resistor(8), Resistor(math.inf), Resistor(8)]), Resistor(8)])
    assert impedance(tree) == 8.0
    found = solve(tree, 20.0)
    assert [leaf.watts for leaf in found] == [0.0, 0.0, 0.0, 50.0]
    assert [leaf.volts for leaf in found] == [0.0, 20.0, 0.0, 20.0]


def test_a_shorted_part_gives_its_voltage_to_the_others_and_carries_the_current() -> None:
    found = solve(Series([Resistor(8), Parallel([Resistor(0), Resistor(8)]), Resistor(8)]), 16.0)
    assert [(leaf.volts, leaf.amperes) for leaf in found] == [(8.0, 1.0), (0.0, 1.0), (0.0, 0.0), (8.0, 1.0)]


def test_shorts_share_the_current_and_opens_share_the_voltage() -> None:
    shorts = solve(Series([Resistor(4), Parallel([Resistor(0), Resistor(0)])]), 8.0)
    assert [leaf.amperes for leaf in shorts] == [2.0, 1.0, 1.0]
    opens = solve(Series([Resistor(4), Resistor(math.inf), Resistor(math.inf)]), 8.0)
    assert [leaf.volts for leaf in opens] == [0.0, 4.0, 4.0]


def test_a_network_that_is_all_open_takes_nothing() -> None:
    tree = Parallel([Resistor(math.inf), Resistor(math.inf)])
    assert impedance(tree) == math.inf
    assert [leaf.watts for leaf in solve(tree, 100.0)] == [0.0, 0.0]


def test_a_short_circuit_as_a_whole_is_refused() -> None:
    tree = Parallel([Resistor(8), Resistor(0)])
    assert impedance(tree) == 0.0
    with pytest.raises(ValueError, match="short circuit"):
        solve(tree, 10.0)
    assert [leaf.watts for leaf in solve(tree, 0.0)] == [0.0, 0.0]


@pytest.mark.parametrize("ohm", [-1.0, math.nan, -math.inf])
def test_a_resistance_below_zero_or_none_at_all_is_refused(ohm: float) -> None:
    with pytest.raises(ValueError, match="ohm must be"):
        Resistor(ohm)


@pytest.mark.parametrize("group", [Series, Parallel])
def test_a_group_without_parts_is_refused(group: Callable[[list[Tree]], Tree]) -> None:
    with pytest.raises(ValueError, match="at least one part"):
        group([])


@pytest.mark.parametrize("across", [-1.0, math.nan, math.inf])
def test_a_voltage_out_of_range_is_refused(across: float) -> None:
    with pytest.raises(ValueError, match="volts must be"):
        solve(Resistor(8), across)
