"""What single faults do: known cases with round answers."""

import math

import pytest

from registry.engineering.line import (
    Cable,
    Channel,
    Coil,
    Fault,
    RatedLoad,
    String,
    constant_voltage_line,
    faults,
    low_impedance_line,
)
from tests.engineering.wiring import HUNDRED_WATTS, daisy_chain, strings


def the(found: tuple[Fault, ...], kind: str, label: str) -> Fault:
    (fault,) = [fault for fault in found if (fault.kind, fault.label) == (kind, label)]
    return fault


def changes(fault: Fault) -> dict[str, float | None]:
    return {change.label: change.change_db for change in fault.changes}


# Reference rows NET-121 and NET-124: three in series; one shorted lifts the others by 3.52 dB, one open silences all.
def test_three_in_series() -> None:
    found = faults(low_impedance_line(strings=strings([[8.0, 8.0, 8.0]]), channel=HUNDRED_WATTS))
    shorted = the(found, "coil shorted", "LS2")
    assert (shorted.impedance_ohm, shorted.survives) == (16.0, True)
    assert changes(shorted) == pytest.approx({"LS1": 3.522, "LS3": 3.522}, abs=0.0005)
    opened = the(found, "coil open", "LS2")
    assert (opened.impedance_ohm, opened.survives) == (math.inf, True)
    assert opened.silenced == ("LS1", "LS3")
    assert opened.says == "LS2 open: the channel sees no load, which it may drive; LS1 and LS3 fall silent."


# Practice figures: one of N equal in parallel opening raises Z by 1/(N−1).
@pytest.mark.parametrize(("count", "percent"), [(2, 100), (4, 33.3), (6, 20), (8, 14.3), (12, 9.1), (20, 5.3)])
def test_one_open_in_parallel_raises_the_impedance(count: int, percent: float) -> None:
    line = low_impedance_line(strings=strings([[64.0]] * count), channel=HUNDRED_WATTS)
    fault = the(faults(line), "coil open", "LS1")
    assert 100 * (fault.impedance_ohm / line.impedance_ohm - 1) == pytest.approx(percent, abs=0.05)


# Practice figures: coherent low-frequency sum with 1 of 4 reversed −6 dB, 1 of 6 −3.5 dB; two cancel.
@pytest.mark.parametrize(("count", "left_db"), [(4, -6.02), (6, -3.52), (2, -math.inf)])
def test_a_reversed_polarity_changes_no_load_but_takes_from_the_sum(count: int, left_db: float) -> None:
    line = low_impedance_line(strings=strings([[64.0]] * count), channel=HUNDRED_WATTS)
    fault = the(faults(line), "polarity reversed", "LS1")
    assert fault.low_frequency_sum_db == pytest.approx(left_db, abs=0.005)
    assert (fault.impedance_ohm, set(changes(fault).values())) == (line.impedance_ohm, {0.0})


def test_a_short_on_a_constant_voltage_line_kills_it() -> None:
    chain = daisy_chain([6.0] * 4, Cable("0.75 mm2", 20.0))
    line = constant_voltage_line(line_v=100, strings=[chain], channel=Channel(line_power_w={100: 60.0}))
    shorted = the(faults(line), "coil shorted", "LS2")
    assert shorted.survives is False
    assert shorted.impedance_ohm == pytest.approx(4 * 20 * 17.241e-3 / 0.75, rel=0.001)
    assert shorted.silenced == ("LS3", "LS4")
    assert shorted.says.endswith("which it may not drive: expect the whole line to go silent.")


def test_a_break_in_a_daisy_chain_silences_everything_behind_it() -> None:
    chain = daisy_chain([6.0] * 4, Cable("0.75 mm2", 20.0))
    line = constant_voltage_line(line_v=100, strings=[chain], channel=Channel(line_power_w={100: 60.0}))
    cut = the(faults(line), "cable open", "LS3")
    assert cut.silenced == ("LS3", "LS4")
    assert 0 < changes(cut)["LS1"] < changes(cut)["LS2"] < 0.1
    assert cut.survives


def test_a_dead_short_without_cable_silences_every_coil() -> None:
    line = low_impedance_line(strings=strings([[8.0], [8.0]]), channel=Channel((RatedLoad(4.0, 100.0),)))
    shorted = the(faults(line), "coil shorted", "LS1")
    assert (shorted.impedance_ohm, shorted.survives, shorted.silenced) == (0.0, False, ("LS2",))


def test_a_channel_that_sags_gets_louder_when_a_neighbour_opens() -> None:
    channel = Channel((RatedLoad(8.0, 100.0), RatedLoad(4.0, 160.0)))
    opened = the(faults(low_impedance_line(strings=strings([[8.0], [8.0]]), channel=channel)), "coil open", "LS1")
    assert changes(opened) == pytest.approx({"LS2": 10 * math.log10(800 / 640)})


def test_there_are_four_faults_for_each_coil_and_no_cable_fault_without_a_piece() -> None:
    assert len(faults(low_impedance_line(strings=strings([[8.0]] * 3, cable=None), channel=HUNDRED_WATTS))) == 12
    assert len(faults(low_impedance_line(strings=strings([[8.0]] * 3), channel=HUNDRED_WATTS))) == 9


def test_an_unknown_coil_leaves_the_consequences_unknown() -> None:
    string = String("1", (Coil("LS1", impedance_ohm=8.0), Coil("LS2")))
    found = faults(low_impedance_line(strings=[string], channel=HUNDRED_WATTS))
    assert len(found) == 8
    assert {(fault.impedance_ohm, fault.survives, fault.changes) for fault in found} == {(None, None, ())}


def test_an_unrated_channel_leaves_the_levels_unknown_but_not_the_silence() -> None:
    found = faults(low_impedance_line(strings=strings([[8.0, 8.0], [8.0]]), channel=Channel()))
    opened = the(found, "coil open", "LS1")
    assert (opened.impedance_ohm, opened.survives) == (8.0, None)
    assert changes(opened) == {"LS2": -math.inf, "LS3": None}
