"""The general sheet: every kind of block is printed, and a table can't lose or shift a cell."""

import pytest

from registry.drawings.schematic import (
    SchematicCable,
    SchematicLine,
    SchematicLoudspeaker,
    SchematicString,
    draw_schematic,
)
from registry.reports.pdf import UnprintableError
from registry.reports.sheet import (
    Blanks,
    Block,
    Caution,
    Cell,
    Check,
    CheckGroup,
    Checks,
    Column,
    Drawing,
    Lines,
    Points,
    Section,
    Sheet,
    Table,
    Words,
    sheet_pdf,
)
from registry.reports.wording import SHORT_FORM
from tests.reports.papers import page_sizes_mm, reader, signs_of, squeezed, words_of


def wiring_sheet(rows: int = 4) -> Sheet:
    cable = SchematicCable("1.5 mm²", "9 m", "red", "black")
    unit = SchematicLoudspeaker(label="LS-01", load="8 Ω", power="12 W", level="0 dB", cable=cable)
    line = SchematicLine(
        title="L1 Bar",
        wiring="low impedance",
        amplifier="Amplifier 1",
        channel="channel 1",
        strings=(SchematicString("String 1", (unit,)),),
    )
    columns = (
        Column("Terminal"),
        Column("Conductor", 1.0),
        Column("Goes to", 2.0),
        Column("Ω", number=True),
        Column("Read", fill=True),
    )
    terminals = tuple(
        (f"CH1 {number}", "red", Cell(f"LS-{number:02d}", "Bar", box=True), "8.0", "") for number in range(rows)
    )
    wiring = (
        Caution("Switch the amplifier off first."),
        Drawing(draw_schematic(line), "L1 Bar drawn"),
        Table(columns, terminals),
    )
    checks = Checks((CheckGroup("Amplifier 1", (Check("mode", "mono"), Check("photo", blank=False)), "Make A NA-2"),))
    return Sheet(
        title="Wiring sheet: Mill Lane",
        answer="Plan 2 in 1 amplifier.",
        head=(Blanks(("Day", "Tech")),),
        cautions=("Mains inside.",),
        sections=(
            Section("Line L1", wiring),
            Section("Before power", (Points(("Measure the load.",)), checks)),
            Section("Remarks", (Words("None yet."), Lines(2))),
        ),
    )


def test_every_block_is_printed_in_order() -> None:
    words = squeezed(words_of(sheet_pdf(wiring_sheet())))
    order = (
        "Wiring sheet: Mill Lane",
        "Plan 2 in 1 amplifier.",
        "Day",
        "Mains inside.",
        "Line L1",
        "Switch the amplifier off first.",
        "plus red",
        "Terminal",
        "CH1 3",
        "LS-03 Bar",
        "Before power",
        "Measure the load.",
        "Amplifier 1 Make A NA-2",
        "mode: mono",
        "photo",
        "Remarks",
        "None yet.",
    )
    places = [words.index(squeezed(said)) for said in order]
    assert places == sorted(places)


def test_every_page_carries_the_caution_its_number_and_the_table_s_heading() -> None:
    content = sheet_pdf(wiring_sheet(rows=120))
    pages = [" ".join(page.extract_text().split()) for page in reader(content).pages]
    assert len(pages) >= 3
    for number, words in enumerate(pages, start=1):
        assert squeezed(SHORT_FORM) in squeezed(words)
        assert f"{number} / {len(pages)}" in words
    assert all("Conductor" in words for words in pages[:3])
    assert squeezed("".join(pages)).count("red8.0") == 0
    assert all(f"CH1{number}red" in squeezed("".join(pages)) for number in range(120))


def test_headings_make_the_outline() -> None:
    outline = reader(sheet_pdf(wiring_sheet())).outline
    assert outline[0].title == "Wiring sheet: Mill Lane"
    assert [entry.title for entry in outline[1]] == ["Line L1", "Before power", "Remarks"]


def test_a_sheet_lies_across_when_it_is_asked_to() -> None:
    across = Sheet("Sheet", "Answer.", (Section("Part", (Words("x"),)),), landscape=True)
    assert page_sizes_mm(sheet_pdf(across)) == [(297.0, 210.0)]


@pytest.mark.parametrize(
    "rows",
    [
        (("a",),),
        (("a", "b", "c"),),
        ((Cell("a", rows=2), "b"), ("c", "d")),
        ((Cell("a", rows=3), "b"), ("c",), ("d", "e")),
    ],
)
def test_a_row_that_would_shift_a_cell_is_refused(rows: tuple[tuple[Cell | str, ...], ...]) -> None:
    with pytest.raises(ValueError, match=r"row \d has \d cells, \d are free"):
        Table((Column("A"), Column("B")), rows)


def test_a_cell_may_reach_down_over_rows() -> None:
    table = Table((Column("A"), Column("B")), ((Cell("a", rows=3), "b"), ("c",), ("d",), ("e", "f")))
    words = words_of(sheet_pdf(Sheet("Sheet", "Answer.", (Section("Part", (table,)),))))
    assert sorted(words.split("A B ")[1].split(" Calculated")[0].split()) == list("abcdef")


@pytest.mark.parametrize(
    ("block", "says"),
    [
        (Table((Column("A"),), (("a",),) * 601), "601 rows, 600 are allowed"),
        (Checks((CheckGroup("A", (Check("a"),) * 1001),)), "1001 boxes to tick, 1000 are allowed"),
    ],
)
def test_more_than_a_second_s_work_is_refused(block: Block, says: str) -> None:
    with pytest.raises(UnprintableError, match=says):
        sheet_pdf(Sheet("Sheet", "Answer.", (Section("Part", (block,)),)))


def svg_of(width: int, height: int, inside: str) -> str:
    size = f'width="{width}" height="{height}" viewBox="0 0 {width} {height}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{inside}</svg>'


@pytest.mark.parametrize(("width", "height"), [(2000, 100), (300, 4000), (4000, 4000)])
def test_a_drawing_larger_than_the_page_is_made_smaller_not_cut_off(width: int, height: int) -> None:
    first = '<text x="2" y="80" font-size="80">first</text>'
    last = f'<text x="{width - 250}" y="{height - 9}" font-size="80">last</text>'
    blocks = (Words("Before."), Drawing(svg_of(width, height, first + last), "Large", "Below it."))
    content = sheet_pdf(Sheet("Sheet", "Answer.", (Section("Part", blocks),)))
    inked = [box for page in range(len(page_sizes_mm(content))) for _, box in signs_of(content, page)]
    assert max(box[2] for box in inked) <= 210 - 13
    assert max(box[3] for box in inked) <= 297 - 5
    assert "lastBelowit." in squeezed(words_of(content))


def test_a_heading_and_its_words_stay_with_the_drawing_that_follows() -> None:
    svg = svg_of(300, 700, '<text x="9" y="20">drawn</text>')
    parts = tuple(Section(f"Channel {number}", (Words(f"Load {number}."), Drawing(svg, "x"))) for number in range(4))
    for page in reader(sheet_pdf(Sheet("Sheet", "Answer.", parts))).pages:
        words = page.extract_text()
        assert words.count("Channel") == words.count("Load") == words.count("drawn")
