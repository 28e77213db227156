"""Electric power, one question at a time: heat and air, current, battery, PoE, audio on a network."""

from registry.engineering.poe import poe_budget, poe_class
from registry.engineering.power import (
    airflow_cfm,
    airflow_m3_per_h,
    circuit_limit_a,
    current_a,
    heat_btu_per_h,
    ups_minutes,
)
from registry.engineering.streams import pcm_bits_per_s, pcm_bytes
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.calculations.racks import RISE
from registry.web.workbench.declaring import Answer, Calculation, Check, Column, Input, InputError, Result, Table, Term
from registry.web.workbench.kinds import Number, Quantity, Whole
from registry.web.workbench.kinds_joined import Cell, Rows

WATTS = Quantity(unit="W", high=100_000)
MAINS = (CAUTIONS["mains"],)
KELVIN_IN_F = 1.8


def heat(*, watts: float, rise: float) -> Answer:
    """Heat of electric power, and the air that carries it away."""
    btu, air = heat_btu_per_h(watts), airflow_m3_per_h(heat_w=watts, rise_k=rise)
    return Answer(
        says=f"{figure(btu)} BTU/h; {figure(air)} m³/h of air at {figure(rise)} K.",
        results=(
            Result("heat_btu_h", "Heat", btu, "BTU/h"),
            Result("airflow_m3_h", "Air", air, "m³/h"),
            Result("airflow_cfm", "Air", airflow_cfm(heat_w=watts, rise_f=rise * KELVIN_IN_F), "CFM"),
        ),
        formula=(
            Term("Heat", f"P × 3.412 = {figure(watts)} W × 3.412 = {figure(btu)} BTU/h"),
            Term(
                "Air",
                f"3600 P / (ρ c ΔT) = 3600 × {figure(watts)} W / (1207 J/(m³·K) × {figure(rise)} K) "
                f"= {figure(air)} m³/h",
            ),
        ),
    )


def current(*, watts: float, volts: float, power_factor: float, circuit: float) -> Answer:
    """Current of a load against what its circuit takes for hours."""
    amperes, limit = current_a(watts=watts, volts=volts, power_factor=power_factor), circuit_limit_a(circuit)
    fits = amperes <= limit * (1 + 1e-9)
    says = f"{figure(amperes)} A; a {figure(circuit)} A circuit takes {figure(limit)} A of continuous load."
    check = Check("current", "pass" if fits else "fail", says)
    return Answer(
        says=says,
        verdict=check.verdict,
        results=(
            Result("current_a", "Current", amperes, "A"),
            Result("circuit_limit_a", "The circuit takes, continuous", limit, "A"),
        ),
        formula=(
            Term(
                "Current",
                f"P / (V × power factor) = {figure(watts)} W / ({figure(volts)} V × {figure(power_factor)}) "
                f"= {figure(amperes)} A",
            ),
            Term("Continuous limit", f"rating / 1.25 = {figure(circuit)} A / 1.25 = {figure(limit)} A"),
        ),
        checks=(check,),
        cautions=MAINS,
    )


def battery(*, watts: float, energy: float, efficiency: float, usable: float) -> Answer:
    """Minutes on a battery."""
    shares = {"efficiency": efficiency / 100, "usable_share": usable / 100}
    minutes = ups_minutes(load_w=watts, energy_wh=energy, **shares)
    return Answer(
        says=f"About {figure(minutes)} min at most, by energy balance alone: test it.",
        results=(Result("minutes", "The battery lasts at most", minutes, "min"),),
        formula=(
            Term(
                "Time",
                f"60 E η u / P = 60 × {figure(energy)} Wh × {figure(efficiency)} % × {figure(usable)} % / "
                f"{figure(watts)} W = {figure(minutes)} min",
            ),
        ),
        cautions=MAINS,
    )


def poe(*, ports: tuple[tuple[int, int], ...], budget: float | None, unknown_ports: int) -> Answer:
    """Whether a switch can power its ports."""
    wanted = dict(ports)
    if len(wanted) < len(ports):
        raise InputError("ports", "a class is given twice: allowed is one line for each class")
    found = poe_budget(ports=wanted, budget_w=budget, unknown_ports=unknown_ports)
    parts = [f"{count} × {figure(poe_class(number).pse_w)} W" for number, count in ports]
    columns = (
        Column("class", "Class"),
        Column("count", "Ports"),
        Column("pse_w", "At the switch", "W"),
        Column("pd_w", "At the device", "W"),
    )
    rows = tuple((f"class {n}", count, poe_class(n).pse_w, poe_class(n).pd_w) for n, count in ports)
    return Answer(
        says=found.check.says,
        verdict=found.check.verdict,
        results=(
            Result("needed_w", "The ports need", found.needed_w, "W"),
            Result("budget_w", "The switch has", found.budget_w, "W"),
        ),
        formula=(Term("Power at the switch", f"{' + '.join(parts)} = {figure(found.needed_w)} W"),),
        checks=(found.check,),
        tables=(Table("classes", "Power of each class", columns, rows),),
        notes=("Over budget a switch shuts low-priority ports first (common practice).",),
    )


def audio_stream(*, rate: float, bits: int, channels: int, hours: float) -> Answer:
    """What uncompressed audio takes of a network or a disk."""
    per_s = pcm_bits_per_s(sample_rate_hz=rate, bits=bits, channels=channels)
    size = pcm_bytes(sample_rate_hz=rate, bits=bits, channels=channels, seconds=hours * 3600)
    return Answer(
        says=f"{figure(per_s / 1e6)} Mbit/s; {figure(size / 1e6)} MB in {figure(hours)} h.",
        results=(
            Result("bits_per_s", "Bit rate", per_s, "bit/s"),
            Result("bytes", "Size", size, "byte"),
        ),
        formula=(
            Term(
                "Bit rate", f"rate × bits × channels = {figure(rate)} Hz × {bits} × {channels} = {figure(per_s)} bit/s"
            ),
            Term(
                "Size",
                f"bit rate × time / 8 = {figure(per_s)} bit/s × {figure(hours * 3600)} s / 8 = {figure(size)} byte",
            ),
        ),
        notes=("Without the network's own headers.",),
    )


HEAT = Calculation(
    name="heat",
    title="Heat and air",
    question="How much heat do these watts make, and how much air carries it away?",
    inputs=(Input(name="watts", label="Electric power", kind=WATTS, example="1000 W"), RISE),
    compute=heat,
    source="International Table BTU; air of 1.2 kg/m³ and 1006 J/(kg·K) at 20 °C and sea level (from memory).",
)
CURRENT = Calculation(
    name="current",
    title="Current on a circuit",
    question="What does this load draw, and may the circuit carry it for hours?",
    inputs=(
        Input(name="watts", label="Power of the load", kind=WATTS, example="1500 W"),
        Input(name="volts", label="Circuit voltage", kind=Quantity(unit="V", low=10, high=600), example="120 V"),
        Input(
            name="power_factor",
            label="Power factor",
            kind=Number(low=0.1, high=1),
            default="1",
            example="1",
            help="1 unless known.",
        ),
        Input(name="circuit", label="Rating of the circuit", kind=Quantity(unit="A", low=1, high=400), example="20 A"),
    ),
    compute=current,
    source="Power factor: IEC 60050-131 (from memory); 125 % of a continuous load: NEC 210.20(A), as quoted.",
    notes=("Local codes and licensed practice decide.",),
)
SHARE = Number(low=10, high=100, unit="%")
BATTERY = Calculation(
    name="battery",
    title="Minutes on a battery",
    question="How long does this UPS carry this load?",
    inputs=(
        Input(name="watts", label="Load", kind=Quantity(unit="W", high=100_000, above=True), example="150 W"),
        Input(
            name="energy",
            label="The battery holds",
            kind=Quantity(unit="Wh", high=1_000_000, above=True),
            example="216 Wh",
            help="Volts × ampere-hours when new.",
        ),
        Input(name="efficiency", label="Efficiency of the inverter, in %", kind=SHARE, default="90", example="90"),
        Input(name="usable", label="Share of the energy used, in %", kind=SHARE, default="80", example="80"),
    ),
    compute=battery,
    source="Energy balance; 90 % and 80 % are common practice.",
    notes=("Lead-acid batteries give much less at high rates and with age.",),
)
POE = Calculation(
    name="poe",
    title="PoE budget",
    question="Can the switch power all these ports?",
    inputs=(
        Input(
            name="ports",
            label="Powered ports",
            kind=Rows(cells=(Cell("class", Whole(high=8)), Cell("ports", Whole(high=500))), most=9),
            example="3, 6\n4, 4",
            help="One a line: PoE class, number of ports.",
        ),
        Input(
            name="budget",
            label="Budget of the switch",
            kind=Quantity(unit="W", high=50_000),
            default="",
            example="250 W",
        ),
        Input(
            name="unknown_ports",
            label="Powered ports of unknown class",
            kind=Whole(high=500),
            default="0",
            example="0",
        ),
    ),
    compute=poe,
    source="IEEE 802.3af, at, bt, as public restatements give them.",
)
AUDIO_STREAM = Calculation(
    name="audio-stream",
    title="Uncompressed audio",
    question="What does PCM take of a network or a disk?",
    inputs=(
        Input(name="rate", label="Sample rate", kind=Quantity(unit="Hz", low=8000, high=384_000), example="48 kHz"),
        Input(name="bits", label="Bits per sample", kind=Whole(low=8, high=64), default="24", example="24"),
        Input(name="channels", label="Channels", kind=Whole(low=1, high=512), default="2", example="2"),
        Input(name="hours", label="Time", kind=Quantity(unit="h", high=10_000), default="1", example="1 h"),
    ),
    compute=audio_stream,
    source="Definition of linear PCM (IEC 60908, from memory).",
)
