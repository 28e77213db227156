"""Forms of lines and coils: what is wrong stands beside its field, what was typed stays, the load is judged again."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Coil, Line, Zone
from registry.demo.factories import FilledPlaceFactory, LineFactory, LoudspeakerFactory, PlaceFactory
from sites.models import User, YesNoUnknown
from tests.web.conftest import SignIn

COIL = {
    "string": "LS-1",
    "order": "1",
    "tap_w": "",
    "cable": "awg18",
    "cable_m": "60 ft",
    "plus": "red",
    "minus": "black",
}


def values_of(line: Line, **changed: object) -> dict[str, object]:
    return {"name": line.name, "amplifier": line.amplifier_id, "channel": line.channel, "kind": line.kind} | changed


def test_a_line_moves_to_another_channel_and_is_judged_again(browser: Browser, line: Line) -> None:
    empty = PlaceFactory(site=line.site, name="Amplifier 9")
    response = browser.post(reverse("line-edit", args=[line.pk]), values_of(line, amplifier=empty.pk, name="Bar"))
    assert response.headers["Location"] == reverse("line", args=[line.pk])
    line.refresh_from_db()
    assert (line.name, line.amplifier) == ("Bar", empty)
    # Nothing fills the new place, so nobody knows what its channel allows.
    assert line.verdict == "unknown"
    assert line.says.endswith("load the channel with 4 Ω; what it allows is not known.")
    assert line.history.first().history_user.username == "tech"


def test_a_channel_that_carries_another_line_is_refused_beside_it(browser: Browser, line: Line) -> None:
    LineFactory(site=line.site, name="Other", amplifier=line.amplifier, channel="2")
    response = browser.post(reverse("line-edit", args=[line.pk]), values_of(line, channel="2"))
    assert response.status_code == 422
    says = "channel 2 of this amplifier already carries line Other; one channel, one line"
    assert response.context["form"].errors == {"channel": [says]}
    assert 'name="channel" value="2"' in response.content.decode()
    assert Line.objects.get(pk=line.pk).channel == "1"


def test_a_line_takes_no_amplifier_of_another_site_and_no_name_twice(browser: Browser, line: Line) -> None:
    foreign = FilledPlaceFactory()
    response = browser.post(reverse("line-edit", args=[line.pk]), values_of(line, amplifier=foreign.pk))
    assert list(response.context["form"].errors) == ["amplifier"]
    LineFactory(site=line.site, name="Other")
    response = browser.post(reverse("line-edit", args=[line.pk]), values_of(line, name="Other"))
    assert list(response.context["form"].errors) == ["name"]


def test_only_a_manager_says_what_a_line_serves(browser: Browser, line: Line, manager: User, sign_in: SignIn) -> None:
    address = reverse("line-life-safety", args=[line.pk])
    assert browser.get(address).status_code == 403
    assert browser.post(address, {"life_safety": "yes", "source": "me"}).status_code == 403
    response = sign_in(manager).post(address, {"life_safety": "yes", "source": ""})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["source"]
    assert sign_in(manager).post(address, {"life_safety": "yes", "source": "Fire officer"}).status_code == 302
    line.refresh_from_db()
    newest = line.history.first()
    assert line.life_safety == YesNoUnknown.YES
    assert (newest.history_user, newest.history_change_reason) == (manager, "Fire officer")


def test_a_coil_takes_its_cable_in_any_unit(browser: Browser, line: Line) -> None:
    coil = line.coils.get(loudspeaker__label="LS-1")
    response = browser.post(reverse("coil-edit", args=[coil.pk]), COIL | {"line": line.pk})
    assert response.headers["Location"] == reverse("line", args=[line.pk])
    coil.refresh_from_db()
    assert coil.cable == "18 AWG"
    assert coil.cable_m == pytest.approx(18.288)  # 60 × 0.3048 m


@pytest.mark.parametrize(
    ("name", "value"), [("cable", "thick"), ("cable_m", "1,5"), ("tap_w", "0"), ("order", "0"), ("string", "")]
)
def test_a_value_that_is_none_is_refused_beside_its_field_and_stays(
    browser: Browser, line: Line, name: str, value: str
) -> None:
    coil = line.coils.get(loudspeaker__label="LS-1")
    response = browser.post(reverse("coil-edit", args=[coil.pk]), COIL | {"line": line.pk, name: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [name]
    assert response.context["form"][name].value() == value
    assert Coil.objects.get(pk=coil.pk).cable == "1.5 mm2"


def test_a_position_that_is_taken_is_refused_beside_the_order(browser: Browser, line: Line) -> None:
    coil = line.coils.get(loudspeaker__label="LS-1")
    response = browser.post(reverse("coil-edit", args=[coil.pk]), COIL | {"line": line.pk, "string": "LS-2"})
    assert response.context["form"].errors == {"order": ["position 1 of string LS-2 is already taken by LS-2"]}


def test_a_coil_moves_to_another_line_and_both_are_judged(browser: Browser, line: Line) -> None:
    other = LineFactory(site=line.site, name="Other", amplifier=line.amplifier, channel="2")
    coil = line.coils.get(loudspeaker__label="LS-1")
    browser.post(reverse("coil-edit", args=[coil.pk]), COIL | {"line": other.pk})
    line.refresh_from_db()
    other.refresh_from_db()
    assert line.says.startswith("One loudspeaker of 8 Ω loads the channel with 8 Ω")
    assert other.says.startswith("One loudspeaker of 8 Ω loads the channel with")


def test_a_line_that_may_serve_life_safety_is_not_offered_to_move_to(browser: Browser, line: Line) -> None:
    flagged = LineFactory(site=line.site, name="Paging", life_safety=YesNoUnknown.UNKNOWN)
    coil = line.coils.get(loudspeaker__label="LS-1")
    response = browser.post(reverse("coil-edit", args=[coil.pk]), COIL | {"line": flagged.pk})
    assert list(response.context["form"].errors) == ["line"]


def test_disconnecting_asks_first_and_can_be_taken_back(browser: Browser, line: Line, zone: Zone) -> None:
    coil = line.coils.get(loudspeaker__label="LS-1")
    address = reverse("coil-disconnect", args=[coil.pk])
    assert browser.get(address).status_code == 200
    assert line.coils.count() == 2
    assert browser.post(address).headers["Location"] == reverse("line", args=[line.pk])
    assert line.coils.count() == 1
    again = COIL | {"loudspeaker": coil.loudspeaker_id, "coil": "1"}
    assert browser.post(reverse("coil-new", args=[line.pk]), again).status_code == 302
    assert line.coils.count() == 2


def test_a_coil_is_connected_once(browser: Browser, line: Line) -> None:
    unit = line.coils.get(loudspeaker__label="LS-1").loudspeaker_id
    response = browser.post(
        reverse("coil-new", args=[line.pk]), COIL | {"loudspeaker": unit, "coil": "1", "string": "new"}
    )
    assert response.status_code == 422
    assert line.coils.count() == 2


def test_a_loudspeaker_of_another_site_is_not_offered(browser: Browser, line: Line) -> None:
    foreign = LoudspeakerFactory()
    response = browser.post(
        reverse("coil-new", args=[line.pk]), COIL | {"loudspeaker": foreign.pk, "coil": "1", "string": "new"}
    )
    assert list(response.context["form"].errors) == ["loudspeaker"]
