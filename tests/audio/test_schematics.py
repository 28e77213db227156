"""A line's rows become the contents of its drawing."""

import pytest

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Line
from registry.audio.schematics import schematic_of
from registry.exchange.importing import import_survey
from sites.models import Site
from tests.exchange.small_survey import survey

pytestmark = pytest.mark.django_db


def line_named(name: str) -> Line:
    return with_wiring(Line.objects.filter(name=name)).get()


def test_a_series_string_is_drawn_with_cable_and_colours() -> None:
    import_survey(survey(), by=None)
    line = line_named("L1")
    drawn = schematic_of(line, load_of(line))
    assert (drawn.wiring, drawn.amplifier, drawn.channel) == ("low impedance", "Amplifier 1", "channel A")
    (string,) = drawn.strings
    first = string.loudspeakers[0]
    assert (string.name, [unit.label for unit in string.loudspeakers]) == ("String 1", ["LS1", "LS2"])
    assert first.cable is not None
    assert (first.cable.size, first.cable.length, first.cable.colours) == (
        "18 AWG",
        "6.1\xa0m",
        "plus red, minus black",
    )
    assert first.load == "8\xa0Ω"


def test_a_constant_voltage_line_shows_its_taps_and_rating() -> None:
    import_survey(survey(), by=None)
    line = line_named("L2")
    drawn = schematic_of(line, load_of(line))
    assert (drawn.wiring, drawn.rating) == ("constant voltage", "120\xa0W at 100 V")
    assert [unit.load for unit in drawn.strings[0].loudspeakers] == ["tap 10\xa0W", "tap 5\xa0W"]
    assert drawn.strings[0].loudspeakers[0].cable.size == "1.5 mm²"  # type: ignore[union-attr]


def test_a_site_in_us_units_gets_feet() -> None:
    import_survey(survey(), by=None)
    Site.objects.update(units="us")
    line = line_named("L1")
    drawn = schematic_of(line, load_of(line))
    assert drawn.strings[0].loudspeakers[0].cable.length == "20\xa0ft"  # type: ignore[union-attr]


def test_a_line_without_loudspeakers_has_no_strings() -> None:
    import_survey(survey(), by=None)
    Line.objects.get(name="L1").coils.all().delete()
    assert schematic_of(line_named("L1"), None).strings == ()
