"""Cells that a spreadsheet would run go out quoted and come back as they were."""

from hypothesis import given
from hypothesis import strategies as st

from sites.quoting import quote_formula, unquote_formula


@given(st.text())
def test_quoting_loses_nothing(text: str) -> None:
    assert unquote_formula(quote_formula(text)) == text


@given(st.text(alphabet="'=+-@\t\r\n＝＋－＠ ab1", max_size=8))
def test_quoted_text_never_begins_like_a_formula(text: str) -> None:
    quoted = quote_formula(text)
    assert quoted[:1] not in set("=@\t\r\n＝＋－＠")
    assert unquote_formula(quoted) == text


def test_numbers_stay_numbers() -> None:
    assert [quote_formula(text) for text in ("-3.5", "+2", "-1e3")] == ["-3.5", "+2", "-1e3"]


def test_a_formula_is_text_in_a_text_cell_and_survives_the_round_trip(db: None) -> None:
    from registry.exchange.exporting import export_survey
    from registry.exchange.importing import import_survey
    from sites.models import Site, Space
    from tests.exchange.small_survey import edited

    import_survey(edited("spaces", "shop,", "shop,=1+1"), by=None)
    assert Space.objects.get().notes == "=1+1"
    assert b"'=1+1" in export_survey(Site.objects.get())["spaces.csv"]
