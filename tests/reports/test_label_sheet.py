"""Where labels stand on paper, and that their words stay on them in type that can be read."""

import time

import pytest

from registry.reports.fitting import LEAST_PT, Room, fitted, wrapped
from registry.reports.label_sheet import MOST_LABELS, LabelLayout, a4_sheet, labels_pdf, tape
from registry.reports.labels import Label
from registry.reports.pdf import UnprintableError
from registry.reports.wording import SHORT_FORM
from tests.reports.papers import HOSTILE, codes_of, page_sizes_mm, reader, signs_of, squeezed, words_of

TAPE = tape(height_mm=12, length_mm=70)
SHEET = a4_sheet(columns=3, rows=8, width_mm=63.5, height_mm=33.9, gap_x_mm=2.5)
LONG = Label(
    "Amplifier 12 in the upper comms cupboard ch 12 → LS-112 coil 2",
    (
        "this end: Amplifier 12 in the upper comms cupboard ch 12",
        "L12 Corridor, string 3",
        "1.5 mm², 112 m, + red, − black",
    ),
    "",
)


def page_of(number: int) -> str:
    return f"https://register.example/places/{number}/"


def test_a_sheet_in_common_use_leaves_the_borders_that_its_makers_print() -> None:
    # ISO 216: A4 is 210 × 297 mm. (210 − 3 × 63.5 − 2 × 2.5) / 2 = 7.25; (297 − 8 × 33.9) / 2 = 12.9.
    corners = list(SHEET.corners())
    assert len(corners) == 24
    assert corners[0] == pytest.approx((7.25, 12.9))
    assert corners[4] == pytest.approx((7.25 + 66.0, 12.9 + 33.9))
    assert corners[-1] == pytest.approx((210 - 7.25 - 63.5, 297 - 12.9 - 33.9))


@pytest.mark.parametrize(
    ("columns", "rows", "width_mm", "height_mm", "says"),
    [
        (4, 8, 63.5, 33.9, "4 labels across take 254 mm; an A4 sheet has room for 202 mm"),
        (3, 9, 63.5, 33.9, "9 labels down take 305.1 mm; an A4 sheet has room for 281 mm"),
    ],
)
def test_labels_that_leave_the_paper_are_refused(
    columns: int, rows: int, width_mm: float, height_mm: float, says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        a4_sheet(columns=columns, rows=rows, width_mm=width_mm, height_mm=height_mm)


def test_tape_has_a_page_for_each_label_and_a_sheet_as_many_as_it_takes() -> None:
    labels = [Label(f"LS-{number:02d}", ("L1 Bar, string 1, coil 1",)) for number in range(30)]
    assert page_sizes_mm(labels_pdf("Labels", labels, TAPE)) == [(70.0, 12.0)] * 30
    assert page_sizes_mm(labels_pdf("Labels", labels, SHEET)) == [(210.0, 297.0)] * 2


def test_labels_that_are_used_up_stay_white() -> None:
    skipping = a4_sheet(columns=3, rows=8, width_mm=63.5, height_mm=33.9, gap_x_mm=2.5, skip=22)
    content = labels_pdf("Labels", [Label("LS-01"), Label("LS-02"), Label("LS-03")], skipping)
    pages = [page.extract_text() for page in reader(content).pages]
    assert ["LS-02" in page for page in pages] == [True, False]
    assert ["LS-03" in page for page in pages] == [False, True]
    first = next(box for sign, box in signs_of(content) if sign == "L")
    left, top = list(skipping.corners())[22]
    assert left < first[0] < left + 63.5
    assert top < first[1] < top + 33.9


@pytest.mark.parametrize(
    "layout",
    [TAPE, SHEET, a4_sheet(columns=5, rows=13, width_mm=38.1, height_mm=21.2), tape(height_mm=36, length_mm=30)],
)
def test_no_sign_leaves_its_label_and_none_is_smaller_than_it_may_be(layout: LabelLayout) -> None:
    content = labels_pdf("Labels", [LONG], layout)
    assert squeezed(LONG.identifier) in squeezed(words_of(content))
    left, top = next(layout.corners())
    on_label = [box for _, box in signs_of(content) if box[1] < top + layout.height_mm + 5]
    assert len(on_label) > 100
    assert min(box[0] for box in on_label) >= left
    assert max(box[2] for box in on_label) <= left + layout.width_mm
    assert min(box[1] for box in on_label) >= top
    assert max(box[3] for box in on_label if box[1] < 280) <= top + layout.height_mm


@pytest.mark.parametrize("layout", [TAPE, SHEET, a4_sheet(columns=5, rows=13, width_mm=38.1, height_mm=21.2)])
def test_the_codes_of_racks_and_places_read_back_from_the_print(layout: LabelLayout) -> None:
    labels = [Label(f"Amplifier {number}", ("mill-lane, Rack A, U2",), page_of(number)) for number in range(3)]
    content = labels_pdf("Labels", labels, layout)
    found = [code for page in range(len(reader(content).pages)) for code in codes_of(content, page)]
    assert sorted(found) == [page_of(number) for number in range(3)]


def test_a_label_too_low_for_a_code_has_none_rather_than_one_that_nobody_can_read() -> None:
    content = labels_pdf("Labels", [Label("Amplifier 1", (), page_of(1))], tape(height_mm=9, length_mm=70))
    assert codes_of(content) == []
    assert "/Figure" not in str(reader(content).trailer["/Root"]["/StructTreeRoot"])
    assert words_of(content) == "Amplifier 1"


def test_hostile_identifiers_come_out_as_typed_and_others_as_boxes() -> None:
    content = labels_pdf("Labels", [Label(HOSTILE[:80]), Label("漢字 מגבר 🎵")], SHEET)
    words = squeezed(words_of(content))
    assert squeezed(HOSTILE[:80]) in words
    assert set("מגבר") <= set(words)
    assert "U+5B57,U+6F22,U+1F3B5" in words


def test_every_sheet_carries_the_caution_and_a_tape_has_no_room_for_it() -> None:
    labels = [Label(f"LS-{number:02d}") for number in range(25)]
    assert squeezed(words_of(labels_pdf("Labels", labels, SHEET))).count(squeezed(SHORT_FORM)) == 2
    assert squeezed(SHORT_FORM) not in squeezed(words_of(labels_pdf("Labels", labels, TAPE)))


def test_words_that_fit_in_no_readable_type_are_refused_by_name() -> None:
    with pytest.raises(UnprintableError, match=r"“x{80}” doesn't fit on a label of this size"):
        labels_pdf("Labels", [Label("x" * 80, ("y" * 80, "z" * 80))], tape(height_mm=9, length_mm=30))


def test_none_and_too_many_are_refused() -> None:
    with pytest.raises(UnprintableError, match="Nothing is recorded"):
        labels_pdf("Labels", [], TAPE)
    with pytest.raises(UnprintableError, match="These are 1001 labels; at most 1000"):
        labels_pdf("Labels", [Label("LS-01")] * (MOST_LABELS + 1), TAPE)


def test_equal_labels_give_equal_bytes_and_the_file_has_no_date() -> None:
    content = labels_pdf("Labels: Mill Lane", [Label("LS-01")], TAPE)
    assert content == labels_pdf("Labels: Mill Lane", [Label("LS-01")], TAPE)
    metadata = reader(content).metadata
    assert metadata is not None
    assert metadata.title == "Labels: Mill Lane"
    assert metadata.creation_date is None
    assert metadata.author is None


def test_the_labels_of_a_large_site_take_about_a_second_of_work() -> None:
    labels = [Label(f"Amplifier {number}", ("mill-lane, Rack A, U2",), page_of(number)) for number in range(60)]
    labels += [Label(f"LS-{number} → LS-{number + 1}", LONG.details) for number in range(240)]
    begun = time.process_time()
    labels_pdf("Labels", labels, SHEET)
    # Work, not waiting: other processes on the machine don't count. Twice what it took where it was written, and more.
    assert time.process_time() - begun < 3.0


def test_rows_break_between_words_and_hard_spaces_hold() -> None:
    # 20 mm at 10 pt: 20 / (10 × 0.3528 × 0.603) = 9.4, so 9 signs on a row.
    assert wrapped("Amplifier ch\u00a011 LS-01", 10, Room(20, 50)) == ("Amplifier", "ch 11", "LS-01")


def test_type_grows_with_the_label() -> None:
    small, large = (fitted("LS-01", ["L1 Bar"], width_mm=side, height_mm=side / 2) for side in (20, 40))
    assert small is not None
    assert large is not None
    assert LEAST_PT <= small.size_pt < large.size_pt
    assert fitted("LS-01", ["L1 Bar"], width_mm=5, height_mm=2) is None
