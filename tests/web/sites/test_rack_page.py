"""The page of a rack: units, weight, heat and current, with every verdict in words."""

from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import FilledPlaceFactory, MakeModelFactory, PlacementFactory, RackFactory
from sites.models import Rack, Site
from tests.web.pages import answer_of, text_of

NO_UPS = {"ups_va": None, "ups_w": None, "ups_wh": None}


def filled(
    rack: Rack, *, position_u: int | None = 3, name: str = "Amplifier 9", face: str = "front", **model: object
) -> None:
    FilledPlaceFactory(
        site=rack.site,
        rack=rack,
        position_u=position_u,
        name=name,
        face=face,
        filling__item__make_model=MakeModelFactory(**model),
    )


def test_the_current_is_judged_against_80_percent_of_the_circuit(browser: Browser, site: Site) -> None:
    # NEC 210.20(A): a continuous load is at most 80 % of the circuit: 0.8 × 15 A = 12 A. 1560 W / 120 V = 13 A.
    rack = RackFactory(site=site, height_u=12, circuit_v=120.0, circuit_a=15.0, max_load_kg=50.0, **NO_UPS)
    filled(rack, rack_units=2, weight_kg=10.0, idle_w=40.0, max_w=1560.0)
    page = browser.get(reverse("rack", args=[rack.pk]))
    assert answer_of(page) == (
        "10 of 12 units are free. At full power the rack draws 13 A; a 15 A circuit takes 12 A of continuous load "
        "(NEC 210.20(A)). Local codes decide."
    )
    words = text_of(page)
    assert "The items weigh 10 kg; the rack may carry 50 kg." in words
    # International Table BTU: 1560 W × 3.412142 BTU/h per W = 5323 BTU/h.
    assert "5323 BTU/h" in words


def test_what_is_not_known_is_named_and_never_counted_as_zero(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, height_u=12, circuit_v=230.0, circuit_a=16.0)
    filled(rack, max_w=None, weight_kg=4.0)
    filled(rack, name="Switch 1", position_u=5, max_w=50.0, weight_kg=None)
    words = text_of(browser.get(reverse("rack", args=[rack.pk])))
    assert "the maximum watts of Amplifier 9 are not known" in words
    assert "not counted: Switch 1" in words
    assert "not counted: Amplifier 9" in words


def test_cautions_stand_above_the_work(browser: Browser, site: Site) -> None:
    words = text_of(browser.get(reverse("rack", args=[RackFactory(site=site, height_u=12).pk])))
    assert "Mains inside." in words
    assert "two people lift" in words
    assert "Nothing is in this rack yet." in words


def test_both_faces_are_drawn_only_where_something_is_on_the_rear(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, name="Rack A", height_u=12)
    filled(rack)
    url = reverse("rack", args=[rack.pk])
    assert "Rack A, rear" not in browser.get(url).content.decode()
    filled(rack, name="Strip", face="rear")
    assert "Rack A, rear" in browser.get(url).content.decode()


def test_what_takes_no_unit_hangs_beside_the_rails(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, height_u=12)
    filled(rack, name="Endpoint 1", rack_units=0, position_u=None)
    page = browser.get(reverse("rack", args=[rack.pk]))
    assert "Beside the rails, taking no unit: Endpoint 1." in text_of(page)
    assert answer_of(page).startswith("12 of 12 units are free.")


def test_only_what_is_there_now_is_counted(browser: Browser, site: Site) -> None:
    rack = RackFactory(site=site, height_u=12, max_load_kg=100.0)
    filled(rack, weight_kg=10.0)
    PlacementFactory(place=rack.places.get(), item__make_model=MakeModelFactory(weight_kg=90.0), current=False)
    assert "The items weigh 10 kg" in text_of(browser.get(reverse("rack", args=[rack.pk])))
