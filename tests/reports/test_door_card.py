"""The door card: staff words, one page, nothing that is not for staff (safe to print on a wall: common practice)."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from registry.audio.models import Line
from registry.baselines.models import Baseline
from registry.demo.factories import BaselineFactory, SiteFactory, ZoneFactory
from registry.reports.door_card import DoorCard, door_card_of, door_card_pdf
from registry.reports.pdf import UnprintableError
from registry.reports.wording import SHORT_FORM
from sites.models import Site, YesNoUnknown
from tests.reports.conftest import ADDRESS
from tests.reports.papers import HOSTILE, codes_of, page_sizes_mm, reader, squeezed, words_of


def card_of(site: Site) -> DoorCard:
    card = door_card_of(site)
    assert card is not None
    return card


def printed(site: Site) -> bytes:
    return door_card_pdf(card_of(site), address=ADDRESS)


def test_without_a_baseline_there_is_no_card(site: Site) -> None:
    assert door_card_of(site) is None


def test_the_card_says_where_every_control_belongs_as_frozen(frozen: Site) -> None:
    frozen.zones.filter(name="Bar").update(default_position=20.0)
    card = card_of(frozen)
    assert [(zone.zone, zone.position) for zone in card.zones] == [("Bar", "50 %"), ("Hall", "50 %")]
    assert card.headline == "Put every control at its default position: 50 %."


def test_positions_that_differ_stand_beside_each_zone(site: Site) -> None:
    site.zones.filter(name="Hall").update(default_position=35.5)
    BaselineFactory(site=site)
    assert card_of(site).headline == "Put every control at its default position."
    words = words_of(printed(site))
    assert "Bar 50 %" in words
    assert "Hall 35.5 %" in words


def test_one_a4_page_with_the_words_that_staff_need(frozen: Site) -> None:
    content = printed(frozen)
    assert page_sizes_mm(content) == [(210.0, 297.0)]  # ISO 216
    words = words_of(content)
    for said in (
        "Mill Lane",
        "Put every control at its default position",
        "50 %",
        "Manager on duty",
        "555-0107",
        "Site code mill-lane",
        "Baseline 1, ",
        "The cap: the upper limit of a control, set by measuring. It is not yours to change.",
        SHORT_FORM,
    ):
        assert squeezed(said) in squeezed(words)


def test_no_address_account_level_source_or_equipment_stands_on_the_wall(frozen: Site) -> None:
    content = printed(frozen)
    words = words_of(content)
    for hidden in ("192.0.2", "7 Mill Lane", "t.tester", "dB", "Stream", "Amplifier", "http", "Mill Lane Ltd"):
        assert hidden not in words
    assert "t.tester" not in str(reader(content).metadata)


def test_a_zone_that_may_serve_life_safety_is_named_and_left_alone(frozen: Site) -> None:
    assert "Stairs: may be part of the emergency system. Leave the control as it is." in card_of(frozen).leave_alone
    assert "Stairs" not in [zone.zone for zone in card_of(frozen).zones]


def test_a_line_flagged_after_the_baseline_takes_every_zone_of_its_amplifier_off_the_list(frozen: Site) -> None:
    assert [zone.zone for zone in card_of(frozen).zones] == ["Bar", "Hall"]
    Line.objects.filter(name="L1 Bar").update(life_safety=YesNoUnknown.YES)
    leave = "Bar, Hall, Stairs: may be part of the emergency system. Leave the control as it is."
    assert leave in card_of(frozen).leave_alone
    assert card_of(frozen).headline == "Leave every control as it is."
    assert "Leave every control as it is." in words_of(printed(frozen))


def test_a_zone_that_came_later_is_named_as_not_agreed(frozen: Site) -> None:
    ZoneFactory(site=frozen, name="Terrace")
    assert "Terrace: nothing is agreed yet. Leave the control as it is." in card_of(frozen).leave_alone


@pytest.mark.parametrize(("voice_alarm", "said"), [("no", False), ("yes", True), ("unknown", True)])
def test_an_unknown_voice_alarm_counts_as_yes(frozen: Site, voice_alarm: str, said: bool) -> None:
    frozen.voice_alarm = voice_alarm
    warned = any("may come from these loudspeakers" in words for words in card_of(frozen).leave_alone)
    assert warned is said


def test_what_nobody_recorded_is_a_blank_to_write_in(frozen: Site) -> None:
    frozen.client.contact = frozen.client.phone = ""
    words = words_of(printed(frozen))
    assert "Manager on duty:" in words
    assert "Sound support:" in words


def test_the_code_leads_to_the_address_it_was_given(frozen: Site) -> None:
    assert codes_of(printed(frozen)) == [ADDRESS]


def test_the_file_is_dated_by_the_baseline_and_the_same_each_time(frozen: Site) -> None:
    metadata = reader(printed(frozen)).metadata
    assert metadata is not None
    assert metadata.title == "Door card: Mill Lane"
    assert metadata.creation_date == Baseline.objects.get(site=frozen).frozen_at.replace(microsecond=0)
    assert printed(frozen) == printed(frozen)


def test_hostile_names_come_out_as_typed(site: Site) -> None:
    name = HOSTILE[:80]
    site.zones.filter(name="Bar").update(name=name)
    site.name = HOSTILE
    BaselineFactory(site=site)
    words = squeezed(words_of(printed(site)))
    assert squeezed(name) in words
    assert squeezed(HOSTILE) in words


@pytest.mark.parametrize(("count", "same"), [(40, True), (25, False)])
def test_many_zones_with_long_names_still_fit_on_one_page(db: None, count: int, same: bool) -> None:
    site = SiteFactory(name="Long Site " * 6)
    names = [f"{number} Corridor behind the second hall" for number in range(count)]
    for number, name in enumerate(names):
        ZoneFactory(site=site, name=name, default_position=50.0 if same else float(number))
    BaselineFactory(site=site)
    content = printed(site)
    assert len(page_sizes_mm(content)) == 1
    assert all(squeezed(name) in squeezed(words_of(content)) for name in names)


def test_zones_that_fit_in_no_readable_type_are_refused_not_dropped(db: None) -> None:
    site = SiteFactory()
    for number in range(200):
        ZoneFactory(site=site, name=f"{number} {'x' * 70}")
    BaselineFactory(site=site)
    with pytest.raises(UnprintableError, match="too much for one page"):
        printed(site)


def test_cards_made_by_four_threads_at_once_belong_to_their_own_site(frozen: Site) -> None:
    one = card_of(frozen)
    other = DoorCard(**{name: getattr(one, name) for name in DoorCard.__slots__} | {"site": "South Barn", "zones": ()})

    def made(number: int) -> str:
        return words_of(door_card_pdf((one, other)[number % 2], address=ADDRESS))

    with ThreadPoolExecutor(4) as pool:
        for number, words in enumerate(pool.map(made, range(12))):
            assert ("South Barn" in words, "Bar Hall" in words) == ((True, False) if number % 2 else (False, True))
