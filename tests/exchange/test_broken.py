"""Broken surveys: each fault is told with file, line, column, value and what is expected, and nothing is written."""

from collections.abc import Callable

import pytest

from registry.exchange.importing import import_survey
from tests.exchange.small_survey import SMALL, edited, survey

Refused = Callable[[dict[str, bytes]], list[str]]

CELLS = [
    # file, what stands there, what is put in its place, the fault
    (
        "spaces",
        "9 ft",
        '"1,5 m"',
        "spaces.csv line 2, column ceiling_m: '1,5 m': write 1.5 m: use a point, not a comma",
    ),
    ("spaces", "9 ft", "nan", "spaces.csv line 2, column ceiling_m: 'nan'"),
    ("spaces", "9 ft", "inf", "spaces.csv line 2, column ceiling_m: 'inf'"),
    ("spaces", "9 ft", "9**9**9", "spaces.csv line 2, column ceiling_m: '9**9**9'"),
    ("spaces", "9 ft", "1e400", "spaces.csv line 2, column ceiling_m: '1e400'"),
    ("spaces", "9 ft", "=1+1", "spaces.csv line 2, column ceiling_m: '=1+1'"),
    ("spaces", "9 ft", "-2", "spaces.csv line 2, column ceiling_m: '-2': above 0, at most 100 m"),
    ("spaces", "9 ft", "9 parsecs", "spaces.csv line 2, column ceiling_m: '9 parsecs'"),
    ("spaces", "9 ft", "9 kg", "spaces.csv line 2, column ceiling_m: '9 kg'"),
    ("lines", "20 ft", "-20", "lines.csv line 2, column cable_m: '-20': 0 or more, at most 10000 m"),
    ("lines", "18 AWG,20", "18 gauge,20", "lines.csv line 2, column cable: '18 gauge'"),
    ("lines", ",low,1,1,", ",70,1,1,", "lines.csv line 2, column kind: '70': one of low, 25, 70.7, 100"),
    (
        "lines",
        "LS2",
        "LS1",
        "lines.csv line 3, column loudspeaker: 'LS1': given once; line 2 has the same site, coil, loudspeaker",
    ),
    (
        "lines",
        "L2,Amplifier 1,B,no,100,1,1,LS3",
        "L2,Amplifier 1,B,no,100,1,1,LS1",
        "column loudspeaker: 'LS1': given once",
    ),
    (
        "lines",
        "1,2,LS2",
        "1,1,LS2",
        "lines.csv line 3, column order: '1': position 1 of string 1 is already taken by LS1",
    ),
    (
        "lines",
        "L2,Amplifier 1,B",
        "L2,Amplifier 1,A",
        "column channel: 'A': channel A of this amplifier already carries",
    ),
    ("lines", "Amplifier 1,A,no,low,1,2", "Amplifier 9,A,no,low,1,2", "a place in equipment.csv or in the register"),
    (
        "lines",
        "Amplifier 1,A,no,low,1,2",
        "Amplifier 1,A,yes,low,1,2",
        "column life_safety: 'yes': the same as in line 2: no",
    ),
    ("lines", "Shop,red,black,18 AWG,10", "Attic,red,black,18 AWG,10", "a zone in zones.csv or in the register"),
    ("equipment", "2024-02-29", "2026-02-29", "column installed_on: '2026-02-29': a day of the calendar"),
    ("equipment", "2027-02-28", "2023-02-28", "column warranty_until: '2023-02-28': a day not before installed_on"),
    ("equipment", "A,3,", "A,13,", "column position_u: '13': reaches unit 13, but rack A has 12"),
    ("equipment", "A,3,", "A,0,", "column position_u: '0': 1 or more"),
    ("equipment", "A,3,", "B,3,", "column rack: 'B': a rack in racks.csv or in the register"),
    ("equipment", "192.0.2.10", "192.0.2.300", "column ip: '192.0.2.300'"),
    ("equipment", "02-00-5E-10-00-01", "02-00-5E-10-00", "six pairs of hex digits"),
    ("equipment", "in service", "deployed", "one of in service, spare, faulty, removed"),
    ("sites", "Europe/London", "Europe/Nowhere", "column time_zone: 'Europe/Nowhere'"),
    (
        "sites",
        "acre,Green Acre Ltd",
        "acre,Nobody",
        "column client: 'Nobody': a client in clients.csv or in the register",
    ),
    ("levels", "2025-06-01T10:30", "2025-03-30T01:30", "clocks skip this hour"),
    ("levels", "2025-06-01T10:30", "2025-10-26T01:30", "this hour comes twice in Europe/London"),
    ("levels", "2025-06-01T10:30", "2025-06-01", "column taken_at: '2025-06-01': a date and time"),
    ("levels", "2025-06-01T10:30", "2098-06-01T10:30", "a time that is not in the future"),
    ("levels", "2025-06-01T10:30", "9999-12-31T23:59", "column taken_at: '9999-12-31T23:59': a date and time"),
    ("levels", "2025-06-01T10:30", "0001-01-01T00:00+10:00", "a date and time such as"),
    ("equipment", "2024-02-29", "0001-01-01", "column installed_on: '0001-01-01': a day of the calendar"),
    ("levels", "62.5", "620", "column level_db: '620': 0 or more, at most 150 dB(A)"),
    ("levels", "62.5", "", "column level_db: a value: this column is required"),
    ("ratings", "2,8,,60", "2,8,100,60", "either load_ohm or line_v"),
    ("racks", ",12,100", ",61,100", "a whole number from 1 to 60"),
    ("models", "349.50", "349.50 EUR", "an amount such as 349"),
    ("loudspeakers", "90,1,10 5 2.5", "90,0,10 5 2.5", "a whole number from 1"),
    ("loudspeakers", "10 5 2.5", "10 five", "column taps_w: '10 five'"),
]


@pytest.mark.parametrize(("name", "old", "new", "fault"), CELLS)
def test_a_bad_cell_is_refused_with_where_it_is_and_what_is_expected(
    refused: Refused, name: str, old: str, new: str, fault: str
) -> None:
    faults = refused(edited(name, old, new))
    assert any(fault in told for told in faults), faults


def test_feet_and_inches_are_one_length(db: None) -> None:
    from sites.models import Space

    import_survey(edited("spaces", "9 ft", '"5 ft 6 in"'), by=None)
    assert Space.objects.get().ceiling_m == pytest.approx(1.6764, rel=1e-12)  # 66 × 0.0254 m (NIST SP 811)


def test_a_leap_day_that_exists_is_legal(db: None) -> None:
    assert import_survey(edited("equipment", "2024-02-29", "2020-02-29"), by=None).new


def test_an_ambiguous_hour_with_its_offset_is_legal(db: None) -> None:
    from registry.baselines.models import Reading

    import_survey(edited("levels", "2025-06-01T10:30", "2025-10-26T01:30+00:00"), by=None)
    assert Reading.objects.get(zone__name="Shop").taken_at.isoformat() == "2025-10-26T01:30:00+00:00"


def test_another_encoding_is_told_with_the_line_and_the_byte(refused: Refused) -> None:
    files = survey() | {"zones.csv": SMALL["zones.csv"].replace("gate", "caf\xe9").encode("latin-1")}
    assert refused(files) == ["zones.csv line 3: 'byte 0xe9': a file in UTF-8; save it again as CSV UTF-8"]


@pytest.mark.parametrize(
    ("header", "fault"),
    [
        ("site,space,colour\nacre,Shop,red\n", "spaces.csv line 1, column colour: 'colour': an unknown column"),
        ("space\nShop\n", "spaces.csv line 1, column site: this column is missing and required"),
        ("site,space,space\nacre,Shop,Shop\n", "spaces.csv line 1, column space: 'space': each column once"),
        ("site;space\nacre;Shop\n", "columns separated by commas, not semicolons"),
        ("site,space\nacre,Shop,2.7\n", "spaces.csv line 2: '2.7': 2 cells, got 3"),
        ('site,space\nacre,"Shop\n', "comma-separated cells; quotes come in pairs"),
        ("", "this column is missing and required"),
    ],
)
def test_a_bad_shape_is_refused(refused: Refused, header: str, fault: str) -> None:
    faults = refused(survey(spaces=header))
    assert any(fault in told for told in faults), faults


def test_an_unknown_file_and_no_file_are_refused(refused: Refused) -> None:
    assert "rooms.csv: an unknown file" in refused(survey() | {"rooms.csv": b"a\n"})[0]
    assert "no survey file was found" in refused({})[0]


def test_every_fault_is_told_at_once_in_the_order_of_files_and_lines(refused: Refused) -> None:
    files = edited("spaces", "9 ft", "1.5.0") | {"lines.csv": SMALL["lines.csv"].replace("20 ft", "-1").encode()}
    assert [told.split(":")[0] for told in refused(files)] == [
        "spaces.csv line 2, column ceiling_m",
        "lines.csv line 2, column cable_m",
    ]


def test_one_fault_is_not_told_again_by_all_that_refers_to_it(refused: Refused) -> None:
    # The rack is faulty: what is mounted in it, and the lines on that amplifier, are not.
    faults = refused(edited("racks", "A,Shop", "A,Cellar"))
    assert faults == ["racks.csv line 2, column space: 'Cellar': a space in spaces.csv or in the register"]


def test_a_recorded_reading_is_never_overwritten(imported: dict[str, bytes], refused: Refused) -> None:
    faults = refused(edited("levels", "62.5", "63.5"))
    assert faults == [
        "levels.csv line 2, column level_db: '63.5': already recorded as 62.5; "
        "record a correction with its own time instead"
    ]


def test_a_recorded_setting_is_never_overwritten(imported: dict[str, bytes], refused: Refused) -> None:
    assert "recorded -2 dB at that time" in refused(edited("settings", "bass,-2", "bass,-4"))[0]


def test_a_serial_belongs_to_one_item_of_a_make(imported: dict[str, bytes], refused: Refused) -> None:
    equipment = SMALL["equipment.csv"] + "acre,Amplifier 2,AMP-2,Make A,A2,A,5,S100,,,,,,,,\n"
    assert "also given to AMP-1" in " ".join(refused(survey(equipment=equipment)))


def test_two_items_never_share_a_rack_unit(refused: Refused) -> None:
    equipment = SMALL["equipment.csv"] + "acre,Amplifier 2,AMP-2,Make A,A2,A,3,S101,,,,,,,,\n"
    assert "unit 3 of rack A is already taken by Amplifier 1" in refused(survey(equipment=equipment))[0]


def test_an_item_is_never_in_two_places(refused: Refused) -> None:
    equipment = SMALL["equipment.csv"] + "acre,Amplifier 2,AMP-1,Make A,A2,A,5,,,,,,,,,\n"
    assert (
        "equipment.csv line 3, column tag: 'AMP-1': AMP-1 is already put in Amplifier 1"
        in refused(survey(equipment=equipment))[0]
    )


def test_a_second_coil_needs_a_loudspeaker_that_has_one(refused: Refused) -> None:
    lines = SMALL["lines.csv"] + "acre,L2,Amplifier 1,B,no,100,1,3,LS1,Make B,C6,2,5,Shop,,,,\n"
    assert "LS1 has 1 coil, numbered from 1: 2 is not one of them" in refused(survey(lines=lines))[0]


def test_a_survey_of_five_thousand_rows_is_legal(db: None) -> None:
    spaces = "site,space\n" + "".join(f"acre,Space {number}\n" for number in range(5000)) + "acre,Shop\n"
    assert import_survey(survey(spaces=spaces), by=None).rows > 5000
