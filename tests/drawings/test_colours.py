"""The stylesheet's own colours against WCAG 2.2: 4.5 for words (1.4.3), 3 for what carries meaning (1.4.11)."""

import re

import pytest

from tests.drawings.test_every_drawing import STYLES

LIGHT, DARK = (
    dict(re.findall(r"var\(--(\w+), (#[0-9a-f]{6})\)", part))
    for part in STYLES.read_text().split("prefers-color-scheme: dark")
)


def luminance(colour: str) -> float:
    # WCAG 2.2, "relative luminance".
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def mixed(over: str, under: str, share: float) -> str:
    pairs = [(int(over[at : at + 2], 16), int(under[at : at + 2], 16)) for at in (1, 3, 5)]
    return "#" + "".join(f"{round(a * share + b * (1 - share)):02x}" for a, b in pairs)


def test_the_formula_gives_the_known_ends():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # the well-known grey that just fails


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_words_and_lines_stand_out_from_paper_and_band(colours):
    for words in ("ink", "muted", "accent", "fail"):
        assert contrast(colours[words], colours["paper"]) >= 4.5
    for mark in ("ink", "accent", "fail"):
        assert contrast(colours[mark], colours["band"]) >= 4.5
    assert contrast(colours["hairline"], colours["paper"]) >= 3


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_a_number_on_the_darkest_shade_of_the_level_map_can_be_read(colours):
    assert contrast(colours["ink"], mixed(colours["accent"], colours["paper"], 0.45)) >= 4.5
