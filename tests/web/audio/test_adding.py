"""Lines and loudspeakers added by hand: what so far only a survey could bring in."""

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Loudspeaker, Zone
from registry.demo.factories import (
    AmplifierModelFactory,
    FilledPlaceFactory,
    LineFactory,
    LoudspeakerFactory,
    LoudspeakerModelFactory,
    ZoneFactory,
)
from registry.equipment.models import Place
from sites.models import Site, User, YesNoUnknown
from tests.web.conftest import SignIn
from tests.web.pages import heading_of, queries_of, text_of

SEAT = {
    "loudspeaker": "",
    "label": "",
    "make_model": "",
    "zone": "",
    "coil": "1",
    "string": "9",
    "order": "1",
    "tap_w": "",
    "cable": "18 AWG",
    "cable_m": "20 ft",
    "plus": "red",
    "minus": "black",
}


@pytest.fixture
def amplifier(site: Site) -> Place:
    place: Place = FilledPlaceFactory(site=site, name="Amplifier 7")
    return place


def new_line(browser: Browser, place: Place, **changed: object) -> Any:
    sent = {"name": "Yard line", "amplifier": place.pk, "channel": "1", "kind": "low", "life_safety": "unknown"}
    return browser.post(reverse("line-new", args=[place.site.code]), sent | {"source": ""} | changed)


def connect(browser: Browser, line: Line, **changed: object) -> Any:
    return browser.post(reverse("coil-new", args=[line.pk]), SEAT | changed)


def test_a_line_is_recorded_as_unknown_until_a_manager_says_otherwise(browser: Browser, amplifier: Place) -> None:
    response = new_line(browser, amplifier)
    line = Line.objects.get(name="Yard line")
    assert response.headers["Location"] == reverse("line", args=[line.pk])
    assert (line.site, line.amplifier, line.channel, line.kind) == (amplifier.site, amplifier, "1", "low")
    assert (line.life_safety, line.verdict) == ("unknown", "unknown")
    assert line.says == "No loudspeaker is connected to this line."
    assert line.history.get().history_user.username == "tech"
    assert "A manager records what it serves before it is changed." in text_of(
        browser.get(response.headers["Location"])
    )


def test_only_a_manager_naming_a_source_says_that_it_serves_music_only(
    browser: Browser, amplifier: Place, manager: User, sign_in: SignIn
) -> None:
    refused = new_line(browser, amplifier, life_safety="no", source="me")
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == ["life_safety"]
    unnamed = new_line(sign_in(manager), amplifier, life_safety="no")
    assert list(unnamed.context["form"].errors) == ["source"]
    assert not Line.objects.exists()
    assert new_line(sign_in(manager), amplifier, life_safety="no", source="Fire officer").status_code == 302
    line = Line.objects.get()
    newest = line.history.first()
    assert line.may_change
    assert (newest.history_user, newest.history_change_reason) == (manager, "Fire officer")


def test_a_line_needs_a_free_channel_a_free_name_and_a_place_of_its_site(browser: Browser, amplifier: Place) -> None:
    LineFactory(site=amplifier.site, name="Bar line", amplifier=amplifier, channel="1")
    taken = new_line(browser, amplifier)
    says = "channel 1 of this amplifier already carries line Bar line; one channel, one line"
    assert taken.context["form"].errors == {"channel": [says]}
    assert 'name="name" value="Yard line"' in taken.content.decode()
    assert list(new_line(browser, amplifier, channel="2", name="Bar line").context["form"].errors) == ["name"]
    foreign = new_line(browser, amplifier, amplifier=FilledPlaceFactory().pk)
    assert list(foreign.context["form"].errors) == ["amplifier"]
    assert Line.objects.count() == 1


def test_the_page_of_a_site_leads_to_a_new_line(browser: Browser, site: Site, owner: User, sign_in: SignIn) -> None:
    address = reverse("line-new", args=[site.code])
    assert address in browser.get(reverse("site", args=[site.code])).content.decode()
    assert address not in sign_in(owner).get(reverse("site", args=[site.code])).content.decode()
    assert heading_of(browser.get(address)) == "New line"


def test_a_new_loudspeaker_is_recorded_while_it_is_connected(browser: Browser, line: Line, zone: Zone) -> None:
    model = LoudspeakerModelFactory()
    response = connect(browser, line, label="LS-9", make_model=model.pk, zone=zone.pk)
    assert response.headers["Location"] == reverse("line", args=[line.pk])
    unit = Loudspeaker.objects.get(label="LS-9")
    assert (unit.site, unit.make_model, unit.zone) == (line.site, model, zone)
    coil = unit.coils.get()
    assert (coil.line, coil.string, coil.order, coil.cable) == (line, "9", 1, "18 AWG")
    assert coil.cable_m == pytest.approx(6.096)  # 20 × 0.3048 m
    line.refresh_from_db()
    # Three of 8 Ω in parallel, one of them on 6.1 m of 18 AWG: below the 4 Ω that the channel allows.
    assert line.verdict == "fail"
    for row in (unit, coil):
        assert row.history.get().history_user.username == "tech"


def test_its_model_may_be_unknown(browser: Browser, line: Line, zone: Zone) -> None:
    assert connect(browser, line, label="LS-9", zone=zone.pk).status_code == 302
    assert Loudspeaker.objects.get(label="LS-9").make_model is None


def test_a_recorded_loudspeaker_is_offered_while_it_has_a_free_coil(browser: Browser, line: Line, zone: Zone) -> None:
    double = LoudspeakerFactory(
        site=line.site, zone=zone, label="LS-5", make_model=LoudspeakerModelFactory(spec__coils=2)
    )
    unwired = LoudspeakerFactory(site=line.site, zone=zone, label="LS-6")

    def offered() -> list[str]:
        form = browser.get(reverse("coil-new", args=[line.pk])).context["form"]
        return [unit.label for unit in form.fields["loudspeaker"].queryset]

    assert offered() == ["LS-5", "LS-6"]
    assert connect(browser, line, loudspeaker=double.pk).status_code == 302
    assert "LS-5 in Bar" in (page := text_of(browser.get(reverse("coil-new", args=[line.pk]))))
    assert "coil 1 connected" in page
    again = connect(browser, line, loudspeaker=double.pk, string="10")
    assert again.context["form"].errors == {"coil": ["coil 1 is already connected to line Bar line"]}
    assert connect(browser, line, loudspeaker=double.pk, string="10", coil="2").status_code == 302
    assert offered() == ["LS-6"]
    assert connect(browser, line, loudspeaker=unwired.pk, string="11").status_code == 302
    assert offered() == []


def test_one_of_the_two_is_asked_for_and_what_was_typed_stays(browser: Browser, line: Line, zone: Zone) -> None:
    unit = LoudspeakerFactory(site=line.site, zone=zone, label="LS-6")
    wrong = {
        "label": [{}, {"label": "LS-9", "loudspeaker": unit.pk}, {"label": "LS-1", "zone": zone.pk}],
        "zone": [{"label": "LS-9"}, {"label": "LS-9", "zone": ZoneFactory().pk}],
        "make_model": [{"label": "LS-9", "zone": zone.pk, "make_model": AmplifierModelFactory().pk}],
        "order": [{"label": "LS-9", "zone": zone.pk, "string": "LS-1"}],
    }
    for name, cases in wrong.items():
        for sent in cases:
            response = connect(browser, line, **sent)
            assert response.status_code == 422
            assert list(response.context["form"].errors) == [name], sent
            assert response.context["form"]["cable_m"].value() == "20 ft"
    # Nothing is half done: the loudspeaker whose coil found no position is not there either.
    assert not Loudspeaker.objects.filter(label="LS-9").exists()
    assert line.coils.count() == 2


@pytest.mark.parametrize("value", [YesNoUnknown.YES, YesNoUnknown.UNKNOWN])
def test_nothing_is_added_to_a_line_that_may_serve_life_safety(
    browser: Browser, line: Line, zone: Zone, value: YesNoUnknown
) -> None:
    Line.objects.update(life_safety=value)
    assert connect(browser, line, label="LS-9", zone=zone.pk).status_code == 403
    assert not Loudspeaker.objects.filter(label="LS-9").exists()


def test_who_may_add(amplifier: Place, owner: User, stranger: User, sign_in: SignIn) -> None:
    assert new_line(sign_in(stranger), amplifier).status_code == 404
    assert new_line(sign_in(owner), amplifier).status_code == 403
    assert not Line.objects.exists()


def test_the_forms_cost_the_same_with_one_row_as_with_three(browser: Browser, line: Line, zone: Zone) -> None:
    def add() -> None:
        LoudspeakerFactory(site=line.site, zone=zone)
        ZoneFactory(site=line.site)
        FilledPlaceFactory(site=line.site)

    add()
    addresses = (reverse("coil-new", args=[line.pk]), reverse("line-new", args=[line.site.code]))
    first = [queries_of(browser, address) for address in addresses]
    add()
    add()
    assert [queries_of(browser, address) for address in addresses] == first
