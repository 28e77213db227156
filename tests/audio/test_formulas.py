"""The formula of a load and what a fault sounds like, in words with numbers."""

import pytest

from registry.audio.formulas import heard, load_terms
from registry.engineering.line import (
    Cable,
    Channel,
    Coil,
    LineLoad,
    RatedLoad,
    String,
    constant_voltage_line,
    faults,
    low_impedance_line,
)

CHANNEL = Channel((RatedLoad(4.0, 100.0), RatedLoad(8.0, 60.0)))


def terms_of(load: LineLoad) -> dict[str, str]:
    return {term.name: term.text for term in load_terms(load)}


def test_a_series_string_and_another_in_parallel() -> None:
    # 8 + 8 = 16; 1/(1/16 + 1/16) = 8; 80 % of it at the lowest (IEC 60268-5 cl. 16.1, as restated); √(60·8) = 21.9 V.
    strings = [
        String(str(n), tuple(Coil(f"LS{n}{m}", impedance_ohm=8.0, cable=Cable("1.5 mm2", 0.0)) for m in (1, 2)))
        for n in (1, 2)
    ]
    assert terms_of(low_impedance_line(strings=strings, channel=CHANNEL)) == {
        "String 1, in series": "2 × 8 Ω + 0 Ω of cable, there and back = 16 Ω",
        "String 2, in series": "2 × 8 Ω + 0 Ω of cable, there and back = 16 Ω",
        "Strings in parallel": "1 / (1/16 + 1/16) = 8 Ω",
        "Lowest impedance, each coil at its minimum": "6.4 Ω",
        "The channel allows": "4 Ω or more",
        "At full output": "U²/Z = (21.9 V)² / 8 Ω = 60 W",
    }


def test_a_string_alone_with_cable_there_and_back() -> None:
    # 10 m of 1.5 mm²: 2 · 10 · 1.7241e-8 / 1.5e-6 = 0.230 Ω.
    string = String("1", (Coil("LS1", impedance_ohm=8.0, cable=Cable("1.5 mm2", 10.0)),))
    terms = terms_of(low_impedance_line(strings=[string], channel=CHANNEL))
    assert terms["String 1, in series"] == "8 Ω + 0.23 Ω of cable, there and back = 8.23 Ω"
    assert "Strings in parallel" not in terms


def test_taps_add_up_with_their_insertion_loss() -> None:
    # 10 · 10^(1/10) + 5 · 10^(1/10) = 18.9 W; 100²/120 = 83.3 Ω; 1000 ∥ 2000 = 666.7 Ω; 100²/666.7 = 15 W.
    coils = tuple(Coil(f"LS{w}", tap_w=w, insertion_loss_db=1.0, cable=Cable("1.5 mm2", 0.0)) for w in (10.0, 5.0))
    load = constant_voltage_line(
        line_v=100.0, strings=[String("1", coils)], channel=Channel(line_power_w={100.0: 120.0})
    )
    assert terms_of(load) == {
        "Watts asked for, insertion loss included": "10 W × 10^(1/10) + 5 W × 10^(1/10) = 18.9 W",
        "The channel is rated": "120 W at 100 V: U²/P = (100 V)² / 120 W = 83.3 Ω or more",
        "Each loudspeaker stands for": "U²/P = (100 V)² / 10 W = 1000 Ω; U²/P = (100 V)² / 5 W = 2000 Ω",
        "The channel sees, cable included": "667 Ω",
        "At full output": "U²/Z = (100 V)² / 667 Ω = 15 W",
    }


def test_what_is_not_known_is_called_so() -> None:
    low = terms_of(low_impedance_line(strings=[String("1", (Coil("LS1"),))], channel=Channel()))
    assert low["String 1, in series"] == "not known + cable not known, taken as 0 Ω = not known"
    assert low["The channel allows"] == "not known"
    assert "At full output" not in low
    high = terms_of(constant_voltage_line(line_v=70.7, strings=[String("1", (Coil("LS1"),))], channel=Channel()))
    assert high["Watts asked for, insertion loss included"] == "not known = not known"
    assert high["The channel is rated"] == "not known"


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        # Three of 8 Ω in series: one open silences all, one shorted leaves 16 Ω and 20 lg(24/16) = +3.5 dB each,
        # at a channel whose voltage falls by 20 lg of the rated voltages: 60 W into 8 Ω is its highest rated load.
        ("coil open", "all the others silent"),
        ("coil shorted", "all the others +3.5 dB"),
        ("cable open", "LS1, LS2 and LS3 silent"),
        # One of three against two: 20 lg(1/3) = −9.54 dB.
        ("polarity reversed", "low frequencies −9.5 dB where all are heard together"),
    ],
)
def test_what_a_fault_in_a_series_string_sounds_like(kind: str, says: str) -> None:
    coils = tuple(Coil(f"LS{n}", impedance_ohm=8.0, cable=Cable("1.5 mm2", 1e-9)) for n in (1, 2, 3))
    load = low_impedance_line(strings=[String("1", coils)], channel=CHANNEL)
    found = next(fault for fault in faults(load) if fault.kind == kind)
    assert heard(found, others=2) == says


def test_a_short_that_the_channel_can_not_drive_silences_the_line() -> None:
    strings = [String(str(n), (Coil(f"LS{n}", impedance_ohm=8.0),)) for n in (1, 2)]
    shorted = faults(low_impedance_line(strings=strings, channel=CHANNEL))[1]
    assert heard(shorted, others=1) == "the whole line goes silent: the channel protects itself or breaks"


def test_two_that_play_against_each_other_cancel_at_low_frequencies() -> None:
    strings = [String(str(n), (Coil(f"LS{n}", impedance_ohm=8.0),)) for n in (1, 2)]
    found = faults(low_impedance_line(strings=strings, channel=CHANNEL))
    reversed_one = next(fault for fault in found if fault.kind == "polarity reversed")
    assert heard(reversed_one, others=1) == "low frequencies cancel where all are heard together"
