"""What people type becomes the quantity they meant, or is refused with the words that help."""

import re
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from registry.engineering.unit_words import TARGETS, unit_of
from registry.engineering.units import LONGEST_TEXT, read_cable_size, read_quantity, show_quantity

QUICK = settings(deadline=None, database=None, max_examples=150)

# Exact factors to the first unit of each kind: NIST SP 811 Appendix B (international foot and pound), SI prefixes.
LENGTHS = {"m": "1", "cm": "0.01", "mm": "0.001", "in": "0.0254", "ft": "0.3048", "yd": "0.9144", "km": "1000"}
MASSES = {"kg": "1", "g": "0.001", "lb": "0.45359237", "lbs": "0.45359237", "oz": "0.028349523125"}
POWERS = {"W": "1", "kW": "1000", "mW": "0.001"}
OTHERS = {"V": "1", "mV": "0.001"}
FACTORS = {"m": LENGTHS, "kg": MASSES, "W": POWERS, "V": OTHERS}


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("60 ft", "m", 18.288),
        ("12'", "m", 3.6576),
        ("5 ft 6 in", "m", 1.6764),
        ("5' 6\"", "m", 1.6764),
        ("5'6\"", "m", 1.6764),
        ("5'-6\"", "m", 1.6764),
        ("5′ 6″", "m", 1.6764),
        ("5’ 6”", "m", 1.6764),
        ("5 feet 6.5 inches", "m", 1.6891),
        ("120 sq ft", "m2", 11.1483648),
        ("12 m²", "m2", 12.0),
        ("2 kg", "kg", 2.0),
        ("10 LBS", "kg", 4.5359237),
        ("1.2kW", "W", 1200.0),
        ("250 mW", "W", 0.25),
        ("4.7 kΩ", "ohm", 4700.0),
        ("8 \u2126", "ohm", 8.0),
        ("−9.5 dB", "dB", -9.5),
        ("62.5 dB(A)", "dB(A)", 62.5),
        ("62.5 dBA", "dB(A)", 62.5),
        ("50 %", "%", 50.0),
        ("2 U", "U", 2.0),
        ("70 °F", "degC", 21.1111111111111),
        ("90°", "degree", 90.0),
        ("10 min", "s", 600.0),
        ("1e-3 m", "m", 0.001),
        (" 1.5\u00a0m ", "m", 1.5),
        (".5", "m", 0.5),
        ("+3", "V", 3.0),
        ("100 Mbps", "Mbit/s", 100.0),
    ],
)
def test_it_reads_what_people_write(text, unit, value):
    assert read_quantity(text, unit) == pytest.approx(value, rel=1e-14)


@pytest.mark.parametrize(
    "text",
    [
        # Those that pint's own parser gets silently wrong, or hangs on.
        "1,5 m",
        "1.500,5 m",
        "1,000",
        "1e400 m",
        "nan m",
        "nan",
        "inf",
        "-inf m",
        "9**9**9",
        "9**9**9 m",
        "5 ft 6",
        "5' 6",
        "2 m + 3 m",
        "3 m * 2",
        "1/2 in",
        # Other ways to be ambiguous.
        "",
        "   ",
        "m",
        "1 000 m",
        "1_000",
        "0x10",
        "5.",
        "1..5",
        "--5",
        "\u20135 m",
        "١٢ m",
        "１２",
        "5 M",
        "5 MM",
        "5 furlongs",
        "5 kg",
        "5 m 20 cm",
        "5 ft 14 in",
        "5.5 ft 6 in",
        "-5 ft 6 in",
        "5\tm3",
        "1e3e3",
        "1e100 m",
        "Infinity",
        "None",
        "12;14",
        "9" * 500,
        "(" * 5000,
    ],
)
def test_it_refuses_what_could_mean_something_else(text):
    with pytest.raises(ValueError, match=r"write|leave|inches"):
        read_quantity(text, "m")


@pytest.mark.parametrize(
    ("text", "unit"),
    [("5 MW", "W"), ("5 m", "s"), ("62 dB(A)", "dB"), ("3 dBu", "dB"), ("20 A", "W"), ("4R7", "ohm"), ("10k", "ohm")],
)
def test_a_unit_of_another_kind_or_with_a_wrong_capital_is_refused(text, unit):
    with pytest.raises(ValueError, match=re.escape(text)):
        read_quantity(text, unit)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1,5 m", "cannot read '1,5 m': write 1.5 m: use a point, not a comma"),
        ("1,000", "a comma can mean thousands or decimals"),
        ("nan", "leave the field empty if it is not known"),
        ("5 kg", "'kg' is a unit of mass, not of length; write one of m, cm, mm, km, in, ft, yd"),
        ("5 parsec", "'parsec' is no unit known here"),
        ("1 000", "without spaces inside"),
        ("", "it is empty"),
    ],
)
def test_a_refusal_says_what_to_type_instead(text, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        read_quantity(text, "m")


def test_a_unit_that_no_column_has_is_refused():
    with pytest.raises(ValueError, match="unit is 'parsec'"):
        read_quantity("5", "parsec")


def test_bare_numbers_and_metric_words_never_load_pint():
    code = (
        "import sys; from registry.engineering import units\n"
        "units.read_quantity('12.5', 'm'); units.read_quantity('12.5 m', 'm'); units.read_cable_size('18 AWG')\n"
        "units.show_quantity(1.0, 'm'); assert 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@QUICK
@given(
    number=st.decimals(min_value="-1e6", max_value="1e6", places=4),
    unit=st.sampled_from(sorted(FACTORS)),
    data=st.data(),
)
def test_number_and_word_give_the_exact_quantity(number, unit, data):
    word = data.draw(st.sampled_from(sorted(FACTORS[unit])))
    exact = Fraction(str(number)) * Fraction(FACTORS[unit][word])
    assert read_quantity(f"{number:f} {word}", unit) == pytest.approx(float(exact), rel=1e-13, abs=1e-13)


def meant(text: str) -> float | None:
    """A second reading of a length, written without our reader: a number, then at most one known word."""
    parts = re.fullmatch(
        r"([-+−]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,2})?)(.*)", text.strip(), re.DOTALL
    )
    if parts is None:
        return None
    unit = unit_of(parts[2].strip(), "length") if parts[2].strip() else TARGETS["m"]
    metres = {"metre": 1.0, "centimetre": 0.01, "millimetre": 0.001, "kilometre": 1e3}
    metres |= {"inch": 0.0254, "foot": 0.3048, "yard": 0.9144}
    return None if unit is None else float(parts[1].replace("−", "-")) * metres[unit.name]


SCRAPS = st.lists(
    st.sampled_from(
        [*"0123456789", *"0123456789", *" .,+-−'\"*/^eE()_%\t", "m", "ft", "in", "mm", "kg", "nan", "inf", "²"]
    ),
    max_size=9,
).map("".join)


@settings(QUICK, max_examples=600)
@given(text=st.one_of(SCRAPS, st.text(max_size=LONGEST_TEXT + 5)))
@example("1,5 m")
@example("9**9**9")
def test_no_text_is_ever_read_as_another_quantity(text):
    try:
        value = read_quantity(text, "m")
    except ValueError:
        return
    if re.search(r"['′’]|f(t|eet|oot)", text, re.IGNORECASE) and re.search(
        r"[0-9]", re.split(r"['′’]|f[toe]", text, maxsplit=1)[-1]
    ):
        feet, inches = re.findall(r"[0-9.]+", text)
        assert value == pytest.approx((12 * float(feet) + float(inches)) * 0.0254, rel=1e-12)
    else:
        assert value == pytest.approx(meant(text), rel=1e-12, abs=1e-300)


@QUICK
@given(
    value=st.floats(min_value=-1e6, max_value=1e6).map(lambda value: round(value, 6)),
    unit=st.sampled_from(sorted(TARGETS)),
    system=st.sampled_from(["metric", "us"]),
)
def test_what_is_shown_reads_back_as_the_same_within_its_digits(value, unit, system):
    room = 0.06 if unit.startswith("dB") else 1e-9
    # Three figures of a temperature in °F are up to 0.5 °F at 100 °F.
    room = 0.3 if unit == "degC" else room
    assert read_quantity(show_quantity(value, unit, system), unit) == pytest.approx(value, rel=0.0051, abs=room)


@pytest.mark.parametrize(
    ("value", "unit", "system", "text"),
    [
        (18.288, "m", "metric", "18.3 m"),
        (18.288, "m", "us", "60 ft"),
        (44.45, "mm", "us", "1.75 in"),
        (37.16, "m2", "us", "400 ft²"),
        (10.0, "kg", "us", "22 lb"),
        (1234.4, "W", "us", "1234 W"),
        (21.0, "degC", "us", "69.8 °F"),
        (90.0, "degree", "metric", "90°"),
        (-9.542, "dB", "metric", "−9.5 dB"),
        (-0.04, "dB", "metric", "0.0 dB"),
        (62.0, "dB(A)", "metric", "62.0 dB(A)"),
        (5.3333, "ohm", "metric", "5.33 Ω"),
        (0.0, "m", "metric", "0 m"),
    ],
)
def test_it_shows_quantities_as_people_read_them(value, unit, system, text):
    assert show_quantity(value, unit, system) == text.replace(" ", "\u00a0")


@pytest.mark.parametrize(("value", "unit", "system"), [(float("nan"), "m", "us"), (1.0, "ell", "us"), (1.0, "m", "uk")])
def test_it_shows_no_nonsense(value, unit, system):
    with pytest.raises(ValueError, match="allowed"):
        show_quantity(value, unit, system)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("18 AWG", "18 AWG"),
        ("18awg", "18 AWG"),
        ("AWG 18", "18 AWG"),
        ("awg18", "18 AWG"),
        ("2/0 AWG", "2/0 AWG"),
        ("1.5mm²", "1.5 mm2"),
        ("1.5 mm2", "1.5 mm2"),
        ("2.50 mm^2", "2.5 mm2"),
        ("1 sq mm", "1 mm2"),
    ],
)
def test_a_conductor_size_has_one_spelling(text, size):
    assert read_cable_size(text) == size
    assert read_cable_size(size) == size


@pytest.mark.parametrize(
    "text",
    [
        "18",
        "1.5",
        "1,5 mm2",
        "16/2",
        "18 ga",
        "18 SWG",
        "41 AWG",
        "5/0 AWG",
        "-1 AWG",
        "1.5 m2",
        "0 mm2",
        "2x1.5 mm2",
        "",
        "9" * 99,
    ],
)
def test_other_conductor_sizes_are_refused(text):
    with pytest.raises(ValueError, match="cannot read"):
        read_cable_size(text)
