"""A survey goes in whole, twice without a change, and comes out as it went in."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from registry.audio.models import Coil, Line
from registry.baselines.models import Reading
from registry.equipment.models import Item, OccupiedUnit, Placement, Status
from registry.exchange.exporting import export_survey
from registry.exchange.importing import import_survey
from sites.models import Site, Space
from tests.exchange.conftest import count_rows
from tests.exchange.small_survey import edited, survey

pytestmark = pytest.mark.django_db


def test_units_that_people_type_arrive_in_the_columns_unit(imported: dict[str, bytes]) -> None:
    # The international foot is 0.3048 m exactly (NIST SP 811, table B.8).
    assert Space.objects.get().ceiling_m == pytest.approx(9 * 0.3048, rel=1e-12)
    assert Coil.objects.get(loudspeaker__label="LS1").cable_m == pytest.approx(20 * 0.3048, rel=1e-12)


def test_a_local_time_is_read_in_the_sites_zone(imported: dict[str, bytes]) -> None:
    reading = Reading.objects.get(zone__name="Shop")
    assert reading.taken_at == datetime(2025, 6, 1, 9, 30, tzinfo=UTC)  # British Summer Time is one hour ahead


def test_dates_money_and_addresses_are_stored_as_what_they_are(imported: dict[str, bytes]) -> None:
    item = Item.objects.select_related("make_model").get()
    assert item.mac == "02:00:5e:10:00:01"
    assert item.make_model.price == Decimal("349.50")
    assert Placement.objects.get().installed_on == date(2024, 2, 29)


def test_importing_twice_changes_nothing(imported: dict[str, bytes]) -> None:
    before = count_rows()
    again = import_survey(imported, by=None)
    assert again.changes == []
    assert count_rows() == before


def test_a_dry_run_says_the_same_and_writes_nothing(db: None) -> None:
    before = count_rows()
    dry = import_survey(survey(), by=None, dry_run=True)
    assert count_rows() == before
    assert import_survey(survey(), by=None).changes == dry.changes


def test_every_change_is_told_with_the_row_that_makes_it(imported: dict[str, bytes]) -> None:
    changed = import_survey(edited("spaces", "9 ft", "3"), by=None, dry_run=True).changes
    assert [(change.where, change.name, change.new) for change in changed] == [
        ("spaces.csv line 2", "acre / Shop", False)
    ]
    assert changed[0].fields == (("ceiling_m", pytest.approx(2.7432), 3.0),)


def test_export_into_an_empty_register_and_out_again_gives_identical_files(db: None) -> None:
    with transaction.atomic():
        import_survey(survey(), by=None)
        exported = export_survey(Site.objects.get())
        assert import_survey(exported, by=None).changes == []
        transaction.set_rollback(True)
    assert not Site.objects.exists()
    import_survey(exported, by=None)
    assert export_survey(Site.objects.get()) == exported


def test_an_empty_cell_leaves_what_the_register_knows(imported: dict[str, bytes]) -> None:
    import_survey(edited("spaces", "9 ft", ""), by=None)
    assert Space.objects.get().ceiling_m == pytest.approx(2.7432)


def test_columns_may_stand_in_any_order_and_optional_ones_may_be_missing(db: None) -> None:
    import_survey(
        survey(spaces="space,site\nShop,acre\n", zones="zone,space,site\nShop,Shop,acre\nYard,,acre\n"), by=None
    )
    assert Space.objects.get().ceiling_m is None


def test_a_byte_order_mark_and_windows_line_ends_are_read(db: None) -> None:
    files = {name: b"\xef\xbb\xbf" + content.replace(b"\n", b"\r\n") for name, content in survey().items()}
    import_survey(files, by=None)
    assert Site.objects.get().access_notes == "Key at the till"


def test_another_tag_in_a_place_replaces_the_item_and_keeps_its_history(imported: dict[str, bytes]) -> None:
    line = SMALL_EQUIPMENT.replace("AMP-1", "AMP-2").replace("S100", "S200").replace("2024-02-29", "2025-02-28")
    import_survey(survey(equipment=line), by=None)
    old, new = Placement.objects.order_by("installed_on")
    assert (old.item.tag, old.current, old.removed_on) == ("AMP-1", False, date(2025, 2, 28))
    assert (new.item.tag, new.current) == ("AMP-2", True)
    assert Item.objects.get(tag="AMP-1").status == Status.REMOVED


SMALL_EQUIPMENT = survey()["equipment.csv"].decode()


def test_rack_units_follow_the_equipment(imported: dict[str, bytes]) -> None:
    assert list(OccupiedUnit.objects.values_list("unit", "face")) == [(3, "front")]
    import_survey(edited("equipment", "A,3,", "A,5,"), by=None)
    assert list(OccupiedUnit.objects.values_list("unit", "face")) == [(5, "front")]


def test_two_lines_may_swap_their_channels(imported: dict[str, bytes]) -> None:
    lines = survey()["lines.csv"].decode()
    swapped = lines.replace(",A,no", ",X,no").replace(",B,no", ",A,no").replace(",X,no", ",B,no")
    import_survey(survey(lines=swapped), by=None)
    assert dict(Line.objects.values_list("name", "channel")) == {"L1": "B", "L2": "A"}


def test_a_loudspeaker_that_moves_to_another_line_leaves_the_first(imported: dict[str, bytes]) -> None:
    lines = survey()["lines.csv"].decode()
    moved = lines.replace("acre,L1,Amplifier 1,A,no,low,1,2,LS2,Make B,C6,,,Shop,red,black,18 AWG,10\n", "")
    import_survey(survey(lines=moved + "acre,L2,Amplifier 1,B,no,100,1,3,LS2,Make B,C6,,10,Shop,,,,\n"), by=None)
    assert Coil.objects.get(loudspeaker__label="LS2").line.name == "L2"
    assert "LS1" not in Line.objects.get(name="L1").says  # no longer a series string


def test_verdicts_are_stored_with_the_import(imported: dict[str, bytes]) -> None:
    assert dict(Line.objects.values_list("name", "verdict")) == {"L1": "warn", "L2": "pass"}
    assert "one open coil silences LS1 and LS2" in Line.objects.get(name="L1").says


def test_an_amplifier_with_a_lower_limit_is_judged_again(imported: dict[str, bytes]) -> None:
    ratings = survey()["ratings.csv"].decode().replace(",60,4", ",60,20").replace(",100,4", ",100,20")
    import_survey({"ratings.csv": ratings.encode()}, by=None)
    assert Line.objects.get(name="L1").verdict == "fail"


def test_the_number_of_queries_does_not_grow_with_the_rows(db: None) -> None:
    lines = survey()["lines.csv"].decode()
    more = lines + "".join(
        f"acre,L2,Amplifier 1,B,no,100,1,{number},LS{number},Make B,C6,,5,Yard,,,,\n" for number in range(5, 60)
    )
    assert queries_of(survey(lines=more)) == queries_of(survey())


def queries_of(files: dict[str, bytes]) -> int:
    """Return how many queries an import takes, and take it back."""
    with CaptureQueriesContext(connection) as captured, transaction.atomic():
        import_survey(files, by=None)
        transaction.set_rollback(True)
    return len(captured)
