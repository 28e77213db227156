"""One value of a published work, a standard or a worked example for each calculation; the source stands beside it."""

from typing import NamedTuple

import pytest

from registry.web.workbench.catalogue import CALCULATIONS
from tests.web.workbench.asking import calc


class Known(NamedTuple):
    """What to type, which figure to look at, and who says what it is. `room` is the tolerance either way."""

    name: str
    typed: dict[str, str]
    result: str
    expected: float | str
    room: float
    source: str


PHYSICS = "OpenStax, College Physics 2e"
LIBRARY = CALCULATIONS["fold-plan"].example
FOUR_IN_PARALLEL = "\n".join(f"{n}, LS{n}, 16 ohm" for n in range(1, 5))
PAIR = "Bar, 1, 1, LS1, 8 ohm\nBar, 1, 2, LS2, 8 ohm"

KNOWN = (
    Known("network", {"parts": "1 + (6 | 13)"}, "impedance_ohm", 5.11, 0.005, f"{PHYSICS}, Resistors in Series …"),
    Known(
        "equal-loudspeakers",
        {"strings": "2", "in_series": "2", "impedance": "8 ohm"},
        "impedance_ohm",
        8.0,
        0.005,
        "Sample wiring diagrams, a retailer's tutorial: four of 8 Ω, two by two",
    ),
    Known(
        "constant-voltage-line",
        {"line": "70.7", "taps": "10 W"},
        "impedance_ohm",
        500.0,
        0.25,
        "70-Volt Loud-Speaker Matching Systems, handbook table (rounds 70.7² to 5000)",
    ),
    Known(
        "listed-line",
        {"kind": "low", "loudspeakers": "1, A, 4 ohm\n1, B, 4 ohm\n2, C, 8 ohm"},
        "impedance_ohm",
        4.0,
        0.05,
        "Loudspeaker-cabinet owner's manual, impedance tables",
    ),
    Known(
        "line-faults",
        {"kind": "low", "loudspeakers": FOUR_IN_PARALLEL},
        "impedance_ohm",
        4.0,
        0.005,
        "Sample wiring diagrams, a retailer's tutorial: four of 16 Ω in parallel",
    ),
    Known(
        "tap",
        {"tap": "10 W", "rated": "70.7", "line": "70.7"},
        "impedance_ohm",
        500.0,
        0.25,
        "70-Volt Loud-Speaker Matching Systems, handbook table",
    ),
    Known(
        "largest-tap",
        {"amplifier": "50 W", "loudspeakers": "10", "margin": "no"},
        "tap_w",
        5.0,
        0.0005,
        "25 and 70-volt systems, a component supplier's page",
    ),
    Known(
        "cable-loss",
        {"cable": "100 ft of 18 AWG", "load": "8 ohm"},
        "power_share_percent",
        14.0,
        0.5,
        "Network news article “Speaker Wires” (1983)",
    ),
    Known(
        "cable-resistance",
        {"cable": "100 ft of 18 AWG"},
        "loop_ohm",
        1.277,
        0.0005,
        "Network news article “Speaker Wires” (1983)",
    ),
    Known(
        "longest-run",
        {"load": "8 ohm", "size": "18 AWG", "loss": "0.42379 dB"},  # 20 lg 1.05: the loop is 5 % of the load
        "run_m",
        32 * 0.3048,
        0.06 * 32 * 0.3048,
        "Speaker-wire length table, 5 % rule: 32 ft",
    ),
    Known(
        "cable-size",
        {"load": "100 W at 100 V", "length": "300 m", "loss": "0.91515 dB"},  # a tenth of the power in the cable
        "area_mm2",
        0.945,
        0.02,
        "“Power Loss caused by Wire Length”, example 1 (with 0.0175 Ω·mm²/m, 1.5 % more than annealed copper)",
    ),
    Known(
        "fold-plan",
        dict(LIBRARY),
        "amplifiers",
        5,
        0,
        "Worked example of a branch library at ± 2 dB, found by enumeration (derived)",
    ),
    Known(
        "zone-level-at-2-83-v",
        {"level": "60 dB", "volts": "0.283 V"},
        "level_at_283_db",
        80.0,
        0.005,
        "Lessons in Electric Circuits III, table of gains: a tenth of the voltage is −20 dB",
    ),
    Known(
        "diagnosis",
        {
            "loudspeakers": PAIR,
            "spots": "P1, Bar, 66, 40, LS1, 40\nP2, Bar, 66, 40, LS2, 66",
            "impedances": "1, 8 ohm",  # two of 8 Ω in parallel are 4 Ω; with one open 8 Ω are left
            "life_safety": "no",
        },
        "fault",
        "LS1: coil open",
        0,
        f"{PHYSICS}, Resistors in Series and Parallel: an open branch leaves the other",
    ),
    Known("cap", {"dial": "38 %"}, "cap_percent", 76.0, 0.0005, "Common practice: 38 % uncapped is a 76 % cap at 50 %"),
    Known(
        "dial-level",
        {"dial": "50 %"},
        "level_db",
        -6.021,
        0.0006,
        "Lessons in Electric Circuits III: 20 lg of the ratio of voltages",
    ),
    Known(
        "dial-change",
        {"change": "-6 dB", "dial": "80 %"},
        "dial_percent",
        40.0,
        0.2,
        "“Decibel & S-Readings”, Table 1: −6 dB is half the amplitude",
    ),
    Known(
        "against-baseline",
        {
            "readings": "66.0",
            "baseline": "62.0",
            "meter": "2",
            "baseline_meter": "2",
            "same_meter": "same",
            "same_spot": "same",
            "same_track": "same",
        },
        "guard_db",
        1.0231,  # 2 √(2 (0.2² + 0.3² + 0.1²/12))
        0.0005,
        "JCGM 100:2008, 5.1.2, 6.2.1 (derived): repeatability 0.2, placing 0.3, display 0.1/√12",
    ),
    Known(
        "mean-and-uncertainty",
        {"readings": "70.1, 70.4, 69.8, 70.2, 70.0", "meter": "2"},
        "standard_db",
        0.6589,
        0.0005,
        "JCGM 100:2008, 4.2 and 4.3, root sum of squares (derived), limit of IEC 61672-1:2013 Table 3",
    ),
    Known(
        "background",
        {"level": "90 dB", "noise": "80 dB"},
        "level_db",
        89.5,
        0.05,
        "Hansen (2005), Example 3.25, as quoted",
    ),
    Known(
        "level-mean",
        {"levels": "60, 90, 75", "durations": "30, 15, 30"},
        "mean_db",
        83.28,
        0.01,
        "Engineering examination, worked solution on Leq",
    ),
    Known(
        "noise-signal",
        {"kind": "programme", "rms": "-20"},
        "peak_dbfs",
        -14.0,
        0.05,
        "IEC 60268-1: crest factor 2 (from memory); “Decibel & S-Readings”, Table 1: 6 dB is twice the amplitude",
    ),
    Known("level-sum", {"levels": "90, 90"}, "level_db", 93.0, 0.05, f"{PHYSICS}, Sound Intensity and Sound Level"),
    Known(
        "level-at-distance",
        {"sensitivity": "85 dB", "power": "1 W", "distance": "4 m"},
        "level_db",
        73.0,
        0.05,
        "“The dB and the inverse square law”",
    ),
    Known(
        "power-needed",
        {"target": "110.8 dB", "sensitivity": "100 dB", "distance": "1 m"},
        "power_w",
        12.0,
        0.1,
        "Sound System Reference Manual, 17.1.1: 12 W give 110.8 dB",
    ),
    Known(
        "coverage",
        {"length": "10 m", "width": "8 m", "ceiling": "2.8 m", "ears": "1.5 m", "angle": "90"},
        "diameter_m",
        2.6,
        0.0005,
        "“Dispersion angles”, worked example of ceiling loudspeakers",
    ),
    Known("weighting", {"frequency": "100 Hz"}, "a_db", -19.1, 0.05, "IEC 61672-1:2013 Table 3, as transcribed"),
    Known("band-level", {"bands": "125 Hz, 60"}, "a_dba", 43.9, 0.05, "IEC 61672-1:2013 Table 3: −16.1 dB at 125 Hz"),
    Known(
        "decibels",
        {"value": "10", "given": "power"},
        "level_db",
        10.0,
        0.0,
        "Lessons in Electric Circuits III, table of gains",
    ),
    Known("hearing-time", {"level": "97 dB"}, "niosh_hours", 0.5, 0.0005, "NIOSH, Sound Level Meter page, REL table"),
    Known("hearing-dose", {"exposures": "90 dB, 8 h"}, "osha_percent", 100.0, 0.01, "29 CFR 1910.95, Table G-16"),
    Known(
        "rack",
        {"height": "12", "items": "Amplifier, 2, 1, 10 kg, 40 W, 500 W", "volts": "120 V", "circuit": "20 A"},
        "circuit_limit_a",
        16.0,
        0.0005,
        "NEC 210.20(A), as quoted in a data bulletin",
    ),
    Known(
        "current",
        {"watts": "1000 W", "volts": "120 V", "circuit": "30 A"},
        "circuit_limit_a",
        24.0,
        0.0005,
        "NEC 210.20(A), as quoted in a data bulletin",
    ),
    Known(
        "heat",
        {"watts": "500 W", "rise": "11.111"},  # 20 °F of difference
        "airflow_cfm",
        78.98,
        0.4,
        "Fan application note “Establishing Cooling Requirements”: CFM = 3.16 W/ΔT(°F)",
    ),
    Known(
        "battery",
        {"watts": "60 W", "energy": "84 Wh", "efficiency": "85", "usable": "70"},
        "minutes",
        49.98,
        0.05,
        "Energy balance, after the engineering page “UPS: battery duration calculation” (derived)",
    ),
    Known("poe", {"ports": "4, 1"}, "needed_w", 30.0, 0.0, "IEEE 802.3at class 4, as public restatements give it"),
    Known(
        "audio-stream",
        {"rate": "96 kHz", "bits": "24", "channels": "2"},
        "bits_per_s",
        4_608_000,
        0,
        "“Bit rate calculations”",
    ),
)


def test_every_calculation_has_a_published_value() -> None:
    assert sorted(known.name for known in KNOWN) == sorted(CALCULATIONS)


@pytest.mark.parametrize("known", KNOWN, ids=lambda known: known.name)
def test_the_published_value_is_reproduced(known: Known) -> None:
    found = calc(known.name, known.typed)["results"][known.result]
    if isinstance(known.expected, str):
        assert found == known.expected, known.source
    else:
        assert found == pytest.approx(known.expected, abs=known.room + 1e-12), known.source
