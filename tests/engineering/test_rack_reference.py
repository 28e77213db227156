"""Racks, power, PoE and PCM against published dimensions, rules and worked examples."""

import math

from registry.engineering import rack_parts
from registry.engineering.poe import poe_budget, poe_class, poe_delivered_w, poe_needed_w
from registry.engineering.power import BTU_PER_H_PER_W, CONTINUOUS_FACTOR
from registry.engineering.rack import (
    airflow_cfm,
    airflow_m3_per_h,
    battery_used_ah,
    circuit_limit_a,
    heat_btu_per_h,
    height_mm,
    panel_height_mm,
    smallest_circuit_a,
    ups_minutes,
)
from registry.engineering.streams import pcm_bits_per_s, pcm_bytes
from tests.engineering.reference import Row, close, each, matches

FILE = "racks_power_network"


@each(FILE, "rack_unit", "height_of_U")
def test_height_of_rack_units(row: Row) -> None:
    assert close(row, height_mm(row.inputs.get("U", 1)) / {"mm": 1, "in": 25.4}[row.unit])


@each(FILE, "panel_height")
def test_height_of_a_panel(row: Row) -> None:
    assert close(row, panel_height_mm(row.inputs["U"]))


@each(FILE, "hole_pitch_sequence")
def test_hole_pitches(row: Row) -> None:
    assert close(row, list(rack_parts.HOLE_PITCHES_MM))
    assert math.isclose(sum(rack_parts.HOLE_PITCHES_MM), rack_parts.RACK_UNIT_MM)


@each(FILE, "hole_centres_horizontal", "panel_width")
def test_widths(row: Row) -> None:
    assert close(row, rack_parts.PANEL_WIDTH_MM if row.quantity == "panel_width" else rack_parts.HOLE_CENTRES_MM)


@each(FILE, "BTU_per_h", "BTU_per_h_per_W")
def test_heat(row: Row) -> None:
    if row.quantity == "BTU_per_h_per_W":
        assert close(row, BTU_PER_H_PER_W)
        return
    ours = heat_btu_per_h(sum(row.inputs["W"]))
    if "factor" in row.inputs:
        # These courses round the factor; with their factor the figure is theirs, with ours it is within half a percent.
        assert close(row, ours * row.inputs["factor"] / BTU_PER_H_PER_W)
        assert math.isclose(ours, row.expected, rel_tol=0.005)
    else:
        assert close(row, ours)


@each(FILE, "CFM", "CFM_per_W", "CMM_per_W", "airflow_m3h")
def test_airflow(row: Row) -> None:
    given = row.inputs
    heat_w = given.get("W", 1.0)
    rise_f = given["dT_F"] if "dT_F" in given else 1.8 * given["dT_C"]
    if row.quantity.startswith("CFM"):
        assert close(row, airflow_cfm(heat_w=heat_w, rise_f=rise_f))
    else:
        per_hour = airflow_m3_per_h(heat_w=heat_w, rise_k=rise_f / 1.8)
        assert close(row, per_hour / 60 if row.quantity == "CMM_per_W" else per_hour)


@each(FILE, "OCPD_min_over_continuous", "OCPD_min")
def test_smallest_circuit(row: Row) -> None:
    if row.quantity == "OCPD_min_over_continuous":
        assert close(row, CONTINUOUS_FACTOR)
        return
    given = row.inputs
    assert close(row, smallest_circuit_a(continuous_a=given["continuous_A"], noncontinuous_a=given["noncontinuous_A"]))


@each(FILE, "continuous_max", "continuous_max_W")
def test_continuous_load_of_a_circuit(row: Row) -> None:
    assert close(row, circuit_limit_a(row.inputs["OCPD_A"]) * row.inputs.get("V", 1))


@each(FILE, "PSE_power", "PD_power")
def test_poe_classes(row: Row) -> None:
    power = poe_class(row.inputs["class"])
    if "pairset_loop_ohm" in row.inputs:
        given = row.inputs
        delivered_w = poe_delivered_w(
            pse_w=given["PSE_W"],
            pse_v=given["PSE_min_V"],
            pairset_loop_ohm=given["pairset_loop_ohm"],
            pairsets=given["pairsets"],
        )
        assert close(row, delivered_w)
        assert math.isclose(power.pse_w, given["PSE_W"])
    else:
        assert close(row, power.pse_w if row.quantity == "PSE_power" else power.pd_w)


@each(FILE, "PSE_power", use="trap")
def test_a_misprinted_class_is_not_reproduced(row: Row) -> None:
    assert not matches(row, poe_class(row.inputs["class"]).pse_w), row.note
    assert poe_class(8).pse_w == 90.0


@each(FILE, "PoE_budget")
def test_poe_budget(row: Row) -> None:
    ports = {int(number): count for number, count in row.inputs["ports"].items()}
    assert close(row, poe_needed_w(ports, basis="pse"))
    assert poe_budget(ports=ports, budget_w=row.expected).check.verdict == "pass"
    assert poe_budget(ports=ports, budget_w=row.expected - 1).check.verdict == "fail"


@each(FILE, "Ah_used")
def test_charge_used(row: Row) -> None:
    given = row.inputs
    used_ah = battery_used_ah(
        load_w=given["load_W"], battery_v=given["V"], minutes=given["minutes"], efficiency=given["efficiency"]
    )
    assert close(row, used_ah)


@each(FILE, "runtime_min")
def test_battery_minutes(row: Row) -> None:
    given = row.inputs
    minutes = ups_minutes(
        load_w=given["load_W"],
        energy_wh=given["V"] * given["Ah"],
        efficiency=given["efficiency"],
        usable_share=given["usable_fraction"],
    )
    assert close(row, minutes)


@each(FILE, "PCM_rate", "PCM_bytes")
def test_uncompressed_audio(row: Row) -> None:
    given = row.inputs
    format_of = {"sample_rate_hz": given["fs"], "bits": given["bits"], "channels": given["ch"]}
    if row.quantity == "PCM_bytes":
        assert close(row, pcm_bytes(**format_of, seconds=given["seconds"]))
    else:
        assert close(row, pcm_bits_per_s(**format_of) / (8 if given.get("unit") == "byte" else 1))
