"""Letters and signs as they are looked for."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.search.folding import compact, fold, spellings


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Zürich", "zurich"),
        ("ZÜRICH", "zurich"),
        (unicodedata.normalize("NFD", "Zürich"), "zurich"),
        ("Straße", "strasse"),
        ("Łódź, Smørrebrød & Æsir", "lodz smorrebrod aesir"),
        ("İstanbul ıslak", "istanbul islak"),
        ("a_b%c", "a b c"),
        ("ﬁne ½ m²", "fine 1 2 m2"),
        ("Ωμέγα", "ωμεγα"),
        ("  ", ""),
    ],
)
def test_accents_capitals_and_signs_do_not_matter(text: str, folded: str) -> None:
    assert fold(text) == folded


@given(st.text())
def test_folded_text_holds_letters_digits_and_single_spaces_and_stays_as_it_is(text: str) -> None:
    folded = fold(text)
    assert all(sign.isalnum() or sign == " " for sign in folded)
    assert "  " not in folded
    assert fold(folded) == folded


def test_a_mac_address_is_one_code_in_every_notation() -> None:
    notations = ["02:00:5e:10:00:01", "02-00-5E-10-00-01", "0200.5e10.0001", "02005E100001"]
    assert {compact(each) for each in notations} == {"02005e100001"}


@pytest.mark.parametrize(
    ("typed", "looked_for"),
    [
        ("NH-0001", ["nh 0001", "nh0001"]),
        ("nh0001", ["nh0001"]),
        ("10.0.5.", ["10 0 5"]),
        ("2001:0DB8:0:0:0:0:0:5", ["2001 0db8 0 0 0 0 0 5", "2001 db8 5"]),
        ("x", []),
        ("%", []),
    ],
)
def test_what_was_typed_is_looked_for_in_its_spellings(typed: str, looked_for: list[str]) -> None:
    assert spellings(typed) == looked_for
