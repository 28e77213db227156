"""The wiring sheet: each conductor once, on the terminal that the current needs, with its recorded colour."""

from collections import Counter

from registry.planning.kept import fitted_as
from registry.planning.parts_list import cable_list, parts_list
from registry.planning.wiring_sheet import NO_COLOUR, LineSheet, wiring_sheet
from sites.models import Site
from tests.planning.asking import kept_for, requested
from tests.planning.test_design import CHAIN, PAIR, fit
from tests.planning.wiring_cases import coil, plan_of, zone_of


def rows(sheet: LineSheet) -> list[tuple[str, str, str, str]]:
    return [(x.terminal, x.loudspeaker, x.pole, x.shown_colour) for string in sheet.strings for x in string.landings]


def test_two_in_series_at_the_rack_are_joined_by_a_jumper_from_minus_to_plus() -> None:
    (sheet,) = wiring_sheet(fit(plan_of({"1": [("Bar", ["LS1", "LS2"])]}), PAIR).design)
    assert rows(sheet) == [
        ("+", "LS1", "plus", "red"),
        ("joint 1", "LS1", "minus", "black"),
        ("joint 1", "LS2", "plus", "red"),
        ("−", "LS2", "minus", "black"),
    ]
    assert sheet.jumpers == 1
    assert sheet.strings[0].landings[1].jumper == "jumper: minus of LS1 to plus of LS2"


def test_strings_in_parallel_need_no_jumper() -> None:
    (sheet,) = wiring_sheet(fit(plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"])]}), PAIR).design)
    assert [row[0] for row in rows(sheet)] == ["+", "−", "+", "−"]
    assert sheet.jumpers == 0


def test_a_chain_lands_with_one_pair_and_is_joined_at_the_loudspeakers() -> None:
    (sheet,) = wiring_sheet(fit(plan_of({"1": [("Bar", ["LS1", "LS2", "LS3"])]}), CHAIN).design)
    assert [row[:3] for row in rows(sheet)] == [("+", "LS1", "plus"), ("−", "LS1", "minus")]
    assert sheet.strings[0].at_loudspeakers == "In series at the loudspeakers, as today: LS1, LS2, LS3."


def test_where_a_conductor_comes_from_is_said_and_an_unknown_colour_is_to_be_traced() -> None:
    coils = (coil("LS1", plus="", minus=""), coil("LS2", order=2))
    (sheet,) = wiring_sheet(fit(plan_of({"2": [("Bar", ["LS1"]), ("Bar", ["LS2"])]}), coils).design)
    first, second = sheet.strings[0].landings[0], sheet.strings[1].landings[0]
    assert (first.comes_from, first.shown_colour) == ("Old amplifier, channel 1, +", NO_COLOUR)
    assert (second.comes_from, second.is_new) == ("a new run", True)


def test_every_conductor_of_the_hall_lands_once_and_joints_hold_two(hall: Site) -> None:
    kept = kept_for(hall, requested(hall, tolerance_db=2.1))
    design = fitted_as(kept, None).design
    sheets = wiring_sheet(design)
    landings = [landing for sheet in sheets for string in sheet.strings for landing in string.landings]
    conductors = Counter((landing.loudspeaker, landing.pole) for landing in landings)
    assert set(conductors.values()) == {1}
    # Every coil of the hall has a cable of its own, so two conductors each.
    assert len(conductors) == 2 * len(kept.coils)
    for sheet in sheets:
        joints = Counter(x.terminal for s in sheet.strings for x in s.landings if x.terminal.startswith("joint"))
        assert set(joints.values()) <= {2}
        poles = Counter((x.terminal, x.pole) for s in sheet.strings for x in s.landings)
        assert ("+", "minus") not in poles
        assert ("−", "plus") not in poles
    series = [string for line in design.lines for string in line.strings.values() if len(string) > 1]
    assert sum(sheet.jumpers for sheet in sheets) == sum(len(string) - 1 for string in series)


def test_the_parts_count_amplifiers_cable_jumpers_terminals_and_labels() -> None:
    found = fit(plan_of({"1": [("Bar", ["LS1"]), ("Bar", ["LS2"]), ("Bar", ["LS3"])]}), CHAIN)
    zones = [zone_of(CHAIN, control_db=9.0)]
    parts = {
        part.what: (part.count, part.unit, part.price)
        for part in parts_list(found.design, zones, prices={"Make A NA-2": 640.0})
    }
    assert parts == {
        "Make A NA-2": (1, "pcs", 640.0),
        "two-conductor cable 1.5 mm2": (49.5, "m", None),  # 15 m and 30 m, with a tenth to spare
        "terminal on a strip, one for each conductor": (6, "pcs", None),
        "cable label, two for each cable": (6, "pcs", None),
        "in-line control for Bar, set to −9 dB": (1, "pcs", None),
    }


def test_the_cable_list_says_where_each_piece_begins() -> None:
    found = fit(plan_of({"2": [("Bar", ["LS1", "LS2", "LS3"])]}), CHAIN)
    assert [(row.begins, row.loudspeaker, row.length_m) for row in cable_list(found.design)] == [
        ("Amplifier 1, channel 2", "LS1", 5.0),
        ("LS1", "LS2", 10.0),
        ("LS2", "LS3", 15.0),
    ]
