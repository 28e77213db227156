"""Forms of clients, sites, spaces and racks: what is wrong stands beside its field, and what was typed stays."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import ClientFactory, FilledPlaceFactory, RackFactory, SiteFactory, SpaceFactory
from sites.models import Client, Rack, Site, Space, User
from tests.web.pages import text_of

SITE = {
    "name": "Mill",
    "code": "mill",
    "address": "1 Mill Street",
    "time_zone": "America/Chicago",
    "units": "us",
    "voice_alarm": "unknown",
    "access_notes": "",
}
SPACE = {"name": "Bar", "ceiling_m": "2.8", "listener_height_m": "1.6", "area_m2": "60", "use": "bar", "notes": ""}
RACK = {"name": "Rack A", "height_u": "12", "max_load_kg": "100", "circuit_v": "230", "circuit_a": "16"}


def test_a_comma_in_a_ceiling_height_is_refused_beside_the_field_and_stays(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("space-new", args=[site.code]), SPACE | {"ceiling_m": "1,5 m"})
    assert response.status_code == 422
    page = response.content.decode()
    assert 'name="ceiling_m" value="1,5 m"' in page
    beside = page[page.index('name="ceiling_m"') : page.index('name="listener_height_m"')]
    assert "write 1.5 m: use a point, not a comma" in beside
    assert 'aria-describedby="id_ceiling_m_helptext id_ceiling_m_error"' in page
    assert 'id="id_ceiling_m_error"' in page
    assert 'name="use" value="bar"' in page
    assert not Space.objects.exists()


@pytest.mark.parametrize(("typed", "metres"), [("3", 3.0), ("8 ft", 2.4384), ("5' 6\"", 1.6764), ("", None)])
def test_a_height_is_typed_in_any_unit_of_length(
    browser: Browser, site: Site, typed: str, metres: float | None
) -> None:
    response = browser.post(reverse("space-new", args=[site.code]), SPACE | {"ceiling_m": typed})
    assert response.headers["Location"] == reverse("site", args=[site.code])
    assert Space.objects.get().ceiling_m == metres


@pytest.mark.parametrize("typed", ["0", "-2", "101", "2 kg", "nan"])
def test_a_height_that_is_none_is_refused(browser: Browser, site: Site, typed: str) -> None:
    response = browser.post(reverse("space-new", args=[site.code]), SPACE | {"ceiling_m": typed})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["ceiling_m"]


def test_a_stored_number_is_shown_without_idle_zeros(browser: Browser, site: Site) -> None:
    space = SpaceFactory(site=site, ceiling_m=2.0, area_m2=18.288)
    page = browser.get(reverse("space-edit", args=[space.pk])).content.decode()
    assert 'name="ceiling_m" value="2"' in page
    assert 'name="area_m2" value="18.288"' in page


def test_a_field_that_is_emptied_becomes_unknown_and_its_history_remains(browser: Browser, site: Site) -> None:
    space = SpaceFactory(site=site, name="Bar", ceiling_m=2.8)
    browser.post(reverse("space-edit", args=[space.pk]), SPACE | {"ceiling_m": "", "name": "Bar and hall"})
    space.refresh_from_db()
    assert (space.name, space.ceiling_m) == ("Bar and hall", None)
    newest, before = space.history.all()[:2]
    assert (newest.ceiling_m, before.ceiling_m) == (None, 2.8)
    assert newest.history_user.username == "tech"


def test_a_name_that_is_taken_is_refused_and_changes_nothing(browser: Browser, site: Site) -> None:
    SpaceFactory(site=site, name="Bar", ceiling_m=2.0)
    response = browser.post(reverse("space-new", args=[site.code]), SPACE)
    assert response.context["form"].errors == {"name": ["there is already a space 'Bar' here: choose another name"]}
    assert Space.objects.get().ceiling_m == 2.0


def test_a_space_may_be_called_as_one_of_another_site(browser: Browser, site: Site) -> None:
    SpaceFactory(name="Bar")
    assert browser.post(reverse("space-new", args=[site.code]), SPACE).status_code == 302


def test_a_client_is_recorded_and_changed(browser: Browser) -> None:
    browser.post(reverse("client-new"), {"name": "Mill Ltd", "contact": "", "email": "", "phone": "555-0100"})
    client = Client.objects.get()
    edit = reverse("client-edit", args=[client.pk])
    browser.post(edit, {"name": "Mill & Sons", "contact": "Manager", "email": "", "phone": ""})
    client.refresh_from_db()
    assert (client.name, client.contact, client.phone) == ("Mill & Sons", "Manager", "")
    page = browser.get(reverse("client", args=[client.pk]))
    assert "<h1>Mill &amp; Sons</h1>" in page.content.decode()


def test_two_clients_can_not_share_a_name(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("client-new"), {"name": "North Ltd", "contact": "", "email": "", "phone": ""})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["name"]


def test_a_site_is_recorded_for_its_client(browser: Browser) -> None:
    client = ClientFactory()
    response = browser.post(reverse("site-new", args=[client.pk]), SITE)
    assert response.headers["Location"] == reverse("site", args=["mill"])
    site = Site.objects.get()
    assert (site.client, site.time_zone, site.units) == (client, "America/Chicago", "us")


def test_a_code_that_another_site_has_is_refused_beside_it(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("site-new", args=[site.client.pk]), SITE | {"code": site.code})
    assert list(response.context["form"].errors) == ["code"]
    other = SiteFactory(code="mill")
    response = browser.post(reverse("site-edit", args=[other.code]), SITE | {"code": site.code})
    assert list(response.context["form"].errors) == ["code"]
    assert 'value="north-hall"' in response.content.decode()


def test_a_site_takes_a_new_code_and_name(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("site-edit", args=[site.code]), SITE)
    assert response.headers["Location"] == reverse("site", args=["mill"])
    site.refresh_from_db()
    assert (site.code, site.name, site.voice_alarm) == ("mill", "Mill", "unknown")


def test_a_time_zone_that_does_not_exist_is_refused(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("site-edit", args=[site.code]), SITE | {"time_zone": "Mars/North"})
    assert list(response.context["form"].errors) == ["time_zone"]


def test_a_rack_is_recorded_with_its_limits(browser: Browser, site: Site) -> None:
    space = SpaceFactory(site=site)
    response = browser.post(reverse("rack-new", args=[site.code]), RACK | {"space": space.pk, "max_load_kg": "220 lb"})
    rack = Rack.objects.get()
    assert response.headers["Location"] == reverse("rack", args=[rack.pk])
    assert (rack.space, rack.height_u, rack.circuit_a) == (space, 12, 16.0)
    assert rack.max_load_kg == pytest.approx(99.790, abs=0.001)  # 220 × 0.45359237 kg


def test_a_rack_takes_no_space_of_another_site(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("rack-new", args=[site.code]), RACK | {"space": SpaceFactory().pk})
    assert list(response.context["form"].errors) == ["space"]


def test_a_rack_does_not_shrink_below_what_is_mounted(browser: Browser, site: Site, tech: User) -> None:
    rack = RackFactory(site=site, name="Rack A", height_u=12)
    place = FilledPlaceFactory(site=site, rack=rack, position_u=10)
    place.occupied_units.create(rack=rack, unit=10, face="front")
    response = browser.post(reverse("rack-edit", args=[rack.pk]), RACK | {"height_u": "9"})
    assert response.context["form"].errors == {"height_u": ["equipment is mounted up to unit 10: move it first"]}
    assert browser.post(reverse("rack-edit", args=[rack.pk]), RACK | {"height_u": "10", "name": "B"}).status_code == 302
    rack.refresh_from_db()
    assert (rack.name, rack.height_u) == ("B", 10)
    assert Rack.objects.count() == 1


def test_a_form_says_how_many_fields_need_another_look(browser: Browser, site: Site) -> None:
    response = browser.post(reverse("space-new", args=[site.code]), SPACE | {"name": "", "ceiling_m": "x"})
    assert "Nothing was saved yet: see the remark beside 2 fields." in text_of(response)


@pytest.mark.parametrize(("value", "cautioned"), [("no", False), ("unknown", True), ("yes", True)])
def test_editing_a_site_warns_of_a_voice_alarm_only_where_there_may_be_one(
    browser: Browser, site: Site, value: str, cautioned: bool
) -> None:
    site.voice_alarm = value
    site.save()
    words = text_of(browser.get(reverse("site-edit", args=[site.code])))
    assert ("voice alarm or emergency paging may run here" in words) is cautioned
