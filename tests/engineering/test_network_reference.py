"""Networks of loudspeakers against textbooks, tutorials and the exact fractions of the laws."""

import math

import pytest

from registry.engineering.line import RatedLoad, low_impedance_line
from registry.engineering.line_parts import MINIMUM_SHARE
from registry.engineering.network import Resistor, Series, impedance, solve
from tests.engineering.reference import Row, close, each
from tests.engineering.wiring import HUNDRED_WATTS, in_strings, network, strings

FILE = "loudspeaker_networks"


@each(FILE, "Z_total")
def test_impedance_of_a_network(row: Row) -> None:
    assert close(row, impedance(network(row.inputs["net"])))


@each(FILE, "I_total", "P_total")
def test_current_and_power_of_a_network(row: Row) -> None:
    leaves = solve(network(row.inputs["net"]), row.inputs["V"])
    watts = math.fsum(leaf.watts for leaf in leaves)
    assert close(row, watts if row.quantity == "P_total" else watts / row.inputs["V"])


@each(FILE, "V_each", "I_each", "P_each")
def test_what_each_element_gets(row: Row) -> None:
    if "amp_rated_W" in row.inputs:
        coils = low_impedance_line(strings=strings(in_strings(row.inputs["net"])), channel=HUNDRED_WATTS).loudspeakers
        assert (row.inputs["amp_rated_W"], row.inputs["amp_rated_ohm"]) == (100, 8)
        assert close(row, [coil.power_w for coil in coils])
        return
    leaves = solve(network(row.inputs["net"]), row.inputs["V"])
    field = {"V_each": "volts", "I_each": "amperes", "P_each": "watts"}[row.quantity]
    assert close(row, [getattr(leaf, field) for leaf in leaves])


@each(FILE, "V_across_series_element", "P_element", "I_element")
def test_what_one_element_gets(row: Row) -> None:
    leaf = solve(network(row.inputs["net"]), row.inputs["V"])[row.inputs["element"]]
    assert close(row, {"V": leaf.volts, "P": leaf.watts, "I": leaf.amperes}[row.quantity[0]])


@each(FILE, "P_total_rel", "P_each_rel")
def test_power_against_one_loudspeaker_alone(row: Row) -> None:
    tree = network(row.inputs["net"])
    if row.inputs.get("fault") == "one open":
        tree = Series([Resistor(math.inf), *tree.parts[1:]])
    alone_w = 1 / row.inputs["z_ref"]
    each_rel = [leaf.watts / alone_w for leaf in solve(tree, 1.0)]
    assert close(row, math.fsum(each_rel) if row.quantity == "P_total_rel" else each_rel)


@each(FILE, "L_each_rel")
def test_level_against_one_loudspeaker_alone(row: Row) -> None:
    leaves = solve(network(row.inputs["net"]), 1.0)
    assert close(row, [10 * math.log10(leaf.watts * row.inputs["z_ref"]) for leaf in leaves])
    ohms = in_strings(row.inputs["net"])
    if ohms and {ohm for string in ohms for ohm in string} == {row.inputs["z_ref"]}:
        # All below 8 Ω in total would lie outside a rating of 8 Ω, where the voltage stays the same by definition.
        line = low_impedance_line(strings=strings(ohms), channel=HUNDRED_WATTS)
        assert close(row, [coil.level_re_direct_db for coil in line.loudspeakers])


@each(FILE, "V_for_P")
def test_voltage_for_a_power(row: Row) -> None:
    assert close(row, RatedLoad(row.inputs["Z"], row.inputs["P"]).volts)


@each(FILE, "Z_min_permitted", use="bound")
def test_a_line_is_taken_to_dip_to_the_lowest_permitted_impedance(row: Row) -> None:
    net = row.inputs.get("net", row.inputs.get("rated_ohm"))
    line = low_impedance_line(strings=strings(in_strings(net)), channel=HUNDRED_WATTS)
    assert close(row, line.minimum_impedance_ohm)


@each(FILE, "Z_min_over_rated", use="bound")
def test_the_lowest_permitted_share_of_nominal(row: Row) -> None:
    assert close(row, MINIMUM_SHARE)


# IEC 60268-5 cl. 16.1 as restated in the bound rows above: the minimum that a maker states wins over the 80 % rule.
def test_a_stated_minimum_replaces_the_eighty_percent() -> None:
    line = low_impedance_line(strings=strings([[8.0]], min_impedance_ohm=5.6), channel=HUNDRED_WATTS)
    assert line.minimum_impedance_ohm == pytest.approx(5.6)
