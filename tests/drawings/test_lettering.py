"""Words and numbers in drawings."""

import pytest

from registry.drawings.lettering import clean, number, quantity, shorten, text_width, wrap


def test_all_control_characters_and_broken_surrogates_go_and_all_letters_stay():
    assert clean("".join(chr(code) for code in range(32)) + "\x7f\x85\ufffe\ud800") == ""
    assert clean("Café Ω ≥ 漢字 😀 עברית") == "Café Ω ≥ 漢字 😀 עברית"


@pytest.mark.parametrize(
    ("value", "shown"), [(1e-9, "0"), (-1e-9, "0"), (1234567.891, "1234567.89"), (1e16, "1" + "0" * 16)]
)
def test_coordinates_have_no_exponent_and_no_negative_zero(value, shown):
    assert number(value) == shown


@pytest.mark.parametrize(
    ("value", "shown"),
    [(0.0, "0.0 dB"), (-0.04, "0.0 dB"), (-0.05001, "−0.1 dB"), (3, "+3.0 dB"), (None, "not known")],
)
def test_a_signed_level_has_the_true_minus_and_no_signed_zero(value, shown):
    assert quantity(value, "dB", signed=True) == shown


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_not_finite_is_refused(value):
    with pytest.raises(ValueError, match="finite"):
        quantity(value, "dB")
    with pytest.raises(ValueError, match="finite"):
        number(value)


@pytest.mark.parametrize("words", ["plus red, minus black", "x" * 200, "a " * 60, "100 W at 70.7 V, tap 6 W", ""])
@pytest.mark.parametrize("width", [40, 120, 300])
def test_wrapping_loses_no_letter_and_keeps_every_line_in_its_width(words, width):
    lines = wrap(words, width)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert all(text_width(line) <= width for line in lines)


def test_a_number_keeps_its_unit_on_its_line():
    assert not any(
        line.endswith(("4", "30")) for width in range(60, 400, 10) for line in wrap("it allows 4 Ω and 30 W", width)
    )


def test_a_shortened_text_fits_and_says_that_it_is_shortened():
    for width in range(20, 180, 7):
        shown = shorten("Uninterruptible power supply", width)
        assert text_width(shown) <= width or len(shown) <= 2
        assert shown.endswith("…")
    assert shorten("short", 200) == "short"
