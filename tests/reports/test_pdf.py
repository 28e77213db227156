"""The door to typst: nothing typed is read as markup, equal data give equal bytes, no file outside is read."""

import time
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest

from registry.reports.pdf import MOST_BYTES, Template, UnprintableError, pdf_of
from registry.reports.sheet import Drawing, Section, Sheet, Words, sheet_pdf
from tests.reports.papers import HOSTILE, reader, squeezed, words_of

DAY = datetime(2026, 3, 12, 9, 30, tzinfo=UTC)


def sheet(title: str = "Sheet", text: str = "Words") -> Sheet:
    return Sheet(title=title, answer="Answer.", sections=(Section("Part", (Words(text),)),), dated=DAY)


def test_equal_data_give_equal_bytes_and_other_data_other_bytes() -> None:
    assert sheet_pdf(sheet()) == sheet_pdf(sheet())
    assert sheet_pdf(sheet()) != sheet_pdf(sheet(text="Other words"))


def test_the_file_is_tagged_titled_and_dated_by_its_data_and_names_nobody() -> None:
    # ISO 14289-1 (PDF/UA-1): 7.1 tagged and marked so, title shown, 7.2 natural language; ISO 32000-1, 14.3.3.
    made = reader(sheet_pdf(sheet(title="Café sheet")))
    root = made.trailer["/Root"]
    assert bool(root["/MarkInfo"]["/Marked"])
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"
    assert bool(root["/ViewerPreferences"]["/DisplayDocTitle"])
    assert made.metadata is not None
    assert made.metadata.title == "Café sheet"
    assert made.metadata.author is None
    assert made.metadata.creation_date == DAY
    assert b"pdfuaid:part>1<" in root["/Metadata"].get_data()
    assert [entry.title for entry in made.outline[0:1]] == ["Café sheet"]


def test_markup_quotes_and_backslashes_come_out_as_they_were_typed() -> None:
    words = words_of(sheet_pdf(sheet(title=HOSTILE, text=HOSTILE)))
    assert squeezed(words).count(squeezed(HOSTILE)) == 2


def test_hebrew_and_arabic_are_printed_and_chinese_and_emoji_leave_boxes_and_a_remark() -> None:
    words = words_of(sheet_pdf(sheet(text="שלום مرحبا 漢字 🎵 end")))
    assert set("שלום") <= set(words)
    assert "□□ □ end" in words
    assert "□ stands for a character that the printing fonts lack: U+5B57, U+6F22, U+1F3B5." in words


def test_a_sheet_without_boxes_has_no_remark() -> None:
    assert "□" not in words_of(sheet_pdf(sheet()))


def test_a_very_long_word_is_broken_and_stays_whole_when_read() -> None:
    word = "x1" * 200
    assert word in squeezed(words_of(sheet_pdf(sheet(text=word))))


def test_a_drawing_is_printed_with_its_words_and_boxes() -> None:
    text = '<text x="0" y="14">4 &#937; &lt;b&gt; &#x6F22;</text>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 20">{text}</svg>'
    drawn = Sheet("Sheet", "Answer.", (Section("Part", (Drawing(svg, "A drawing"),)),))
    words = words_of(sheet_pdf(drawn))
    assert "4 Ω <b> □" in words
    assert "U+6F22" in words


@pytest.mark.parametrize(
    "inside",
    ['<image href="/etc/hostname"/>', "<style>@import 'a.css'</style>", '<rect fill="url(http://r.example/a)"/>'],
)
def test_a_drawing_that_loads_something_is_refused(inside: str) -> None:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">{inside}</svg>'
    with pytest.raises(ValueError, match="must not load anything"):
        sheet_pdf(Sheet("Sheet", "Answer.", (Section("Part", (Drawing(svg, "A drawing"),)),)))


def test_more_than_the_allowed_bytes_are_refused_at_once() -> None:
    begun = time.perf_counter()
    with pytest.raises(UnprintableError, match="too much to print at once"):
        pdf_of(Template.SHEET, {"title": "x" * MOST_BYTES}, dated=None)
    assert time.perf_counter() - begun < 5


def test_four_threads_at_once_never_mix_two_sheets() -> None:
    def made(number: int) -> str:
        return words_of(sheet_pdf(sheet(title=f"Site {number}", text=f"Only for site {number}. " * 20)))

    with ThreadPoolExecutor(4) as pool:
        for number, words in enumerate(pool.map(made, range(24))):
            assert words.count(f"Only for site {number}.") == 20
            assert words.count("Only for site") == 20
