"""What the fonts can't show is seen as a box. typst itself is asked: PDF/UA-1 (ISO 14289-1) forbids missing signs."""

import json
from pathlib import Path

import pytest
import typst

from registry.reports.glyphs import BOX, characters_shown, lacking, printable, remark

PROBE = """
#set document(title: "Probe")
#set text(lang: "en", fallback: false)
#let signs = json(bytes(sys.inputs.data))
#for fonts in (
  ("Libertinus Serif", "DejaVu Sans Mono", "New Computer Modern"),
  ("DejaVu Sans Mono", "Libertinus Serif", "New Computer Modern"),
) { for weight in ("regular", "bold") { for sign in signs { text(font: fonts, weight: weight, "x" + sign + " ") } } }
"""


def print_signs(signs: list[str], folder: Path) -> None:
    probe = folder / "probe.typ"
    probe.write_text(PROBE)
    typst.compile(
        str(probe),
        root=str(folder),
        ignore_system_fonts=True,
        pdf_standards="ua-1",
        sys_inputs={"data": json.dumps(signs)},
    )


def test_the_fonts_show_every_sign_of_the_list_regular_and_bold(tmp_path: Path) -> None:
    print_signs([chr(code) for code in sorted(characters_shown())], tmp_path)


@pytest.mark.parametrize("sign", ["漢", "ᚠ", "🎵", "ก", "한"])
def test_the_fonts_really_lack_what_becomes_a_box(sign: str, tmp_path: Path) -> None:
    assert printable(sign) == BOX
    with pytest.raises(typst.TypstError, match="could not be displayed"):
        print_signs([sign], tmp_path)


def test_the_words_of_europe_and_the_signs_of_the_trade_are_shown_as_they_are() -> None:
    text = "Café Łódź Ærø Žižkov Ελλάδα Борщ עברית العربية 4 Ω ±2 dB −20 °C 1.5 mm² ≥ ≤ × µ √ → “q” … € ½ ☐ ✓"
    assert printable(text) == text
    assert lacking(text) == frozenset()


def test_composed_and_decomposed_letters_print_the_same() -> None:
    # Unicode UAX #15: e + U+0301 is canonically equivalent to U+00E9.
    assert printable("Cafe\u0301") == "Café"


@pytest.mark.parametrize("sign", ["\u202e", "\u2066", "\u0000", "\u001b", "\u200f", "\ue000", "\U000e0041"])
def test_signs_that_would_hide_or_turn_words_become_boxes(sign: str) -> None:
    assert printable(f"a{sign}b") == f"a{BOX}b"


def test_joiners_and_variation_selectors_leave_no_trace_of_their_own() -> None:
    assert printable("a\u200db\ufe0fc\u00add") == "abcd"


def test_tabs_and_odd_spaces_are_spaces_and_rows_stay_rows() -> None:
    assert printable("a\tb\u3000c\nd") == "a b c\nd"


def test_the_remark_names_the_code_points_and_counts_the_rest() -> None:
    assert remark(lacking("Bar 漢字 🎵")) == (
        "□ stands for a character that the printing fonts lack: U+5B57, U+6F22, U+1F3B5."
    )
    assert remark(lacking("".join(chr(0x4E00 + number) for number in range(20)))).endswith("U+4E07 and 12 more.")
    assert remark(lacking("Bar □")) == ""
