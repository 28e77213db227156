"""Two people change the same thing: the second one sees both versions, decides field by field, and nothing is lost."""

from collections.abc import Callable
from typing import Any, NamedTuple

import pytest
from django.test import Client as Browser
from django.urls import get_resolver, reverse
from django.utils import timezone

from registry.audio.models import Coil, Line, Zone
from registry.demo.factories import UserFactory
from registry.demo.factories.visits import FindingFactory, VisitFactory
from registry.equipment.models import Item, MakeModel, Place, SecretReference
from registry.exchange.importing import import_survey
from registry.visits.models import Finding, ServiceCall, Visit, VisitPlan
from sites.models import Client, Rack, Role, Site, Space, User
from tests.exchange.small_survey import survey
from tests.web.forms import fields_of
from tests.web.pages import text_of
from tests.web.test_routes import ROUTES, first, routes
from tests.web.visit_plans.conftest import plan_at

pytestmark = pytest.mark.django_db


class Edit(NamedTuple):
    """One edit form: the field both change, what each types there, how the row then reads, and one more field."""

    field: str
    theirs: str
    mine: str
    held: Callable[[], Any]
    also: tuple[str, str] | None = None


def of(model: Any, column: str) -> Callable[[], Any]:
    return lambda: getattr(model.objects.order_by("pk").first(), column)


def _placed() -> Any:
    return Item.objects.get(tag="AMP-1").placements.get(current=True).installed_on.isoformat()


# Told in a sentence and then sent again: a person's changes are account events (tests/web/accounts/test_people.py),
# and a question has no field beside which a change could stand.
IN_A_SENTENCE = {"person-edit", "coil-disconnect", "visit-call-off"}
# Forms whose addresses are in a table of their own subject.
ELSEWHERE = {
    "finding-edit": Finding,
    "call-edit": ServiceCall,
    "reference-edit": SecretReference,
    "visit-plan-edit": VisitPlan,
    "visit-move": Visit,
}
# Every edit form. One that is missing here fails below, and so does one that shows no version.
EDITS: dict[str, Edit] = {
    "client-edit": Edit("phone", "+1 555 0111", "+1 555 0122", of(Client, "phone"), ("contact", "Night desk")),
    "site-edit": Edit("address", "2 Mill Lane", "3 Mill Lane", of(Site, "address"), ("access_notes", "Ring twice")),
    "space-edit": Edit("use", "sales", "storage", of(Space, "use"), ("notes", "Cold")),
    "rack-edit": Edit("circuit_a", "13", "16", of(Rack, "circuit_a"), ("ups_va", "500")),
    "place-edit": Edit("hostname", "amp-a", "amp-b", of(Place, "hostname"), ("port", "7")),
    "item-edit": Edit("serial", "S200", "S300", of(Item, "serial"), ("status", "faulty")),
    "model-edit": Edit("max_w", "190", "200", of(MakeModel, "max_w"), ("life_years", "10")),
    "line-edit": Edit("channel", "C", "D", of(Line, "channel"), ("name", "L9")),
    "line-life-safety": Edit("life_safety", "unknown", "yes", of(Line, "life_safety"), ("source", "Site drawing")),
    "coil-edit": Edit("plus", "brown", "orange", of(Coil, "plus"), ("cable_m", "12")),
    "finding-edit": Edit("says", "It hums", "It buzzes", of(Finding, "says"), ("severity", "down")),
    "call-edit": Edit("says", "No music", "Too quiet", of(ServiceCall, "says"), ("phone", "+1 555 0133")),
    "reference-edit": Edit("kept_where", "The safe", "The office", of(SecretReference, "kept_where")),
    "visit-plan-edit": Edit("minutes", "90", "120", of(VisitPlan, "minutes"), ("name", "Yearly check")),
    "visit-move": Edit("minutes", "90", "120", of(Visit, "planned_minutes"), ("starts_at", "2026-12-03T10:30")),
    "zone-edit": Edit("spot", "P1 by the door", "P1 by the stairs", of(Zone, "spot"), ("source", "Stream 2")),
}


def same(held: Any, typed: str) -> bool:
    return str(held) == typed or (isinstance(held, float) and held == float(typed))


@pytest.fixture
def people(db: None) -> tuple[Browser, Browser]:
    import_survey(survey(), by=None)
    browsers = (Browser(), Browser())
    for browser, name in zip(browsers, ("Ada", "Ben"), strict=True):
        browser.force_login(UserFactory(first_name=name, last_name="Field", role=Role.MANAGER))
    _fill(Site.objects.get(), UserFactory(role=Role.TECH))
    return browsers


def _fill(site: Site, tech: User) -> None:
    """Record what no survey brings."""
    plan_at(site, tech)
    FindingFactory(site=site)
    VisitFactory(site=site)
    ServiceCall.objects.create(site=site, called_at=timezone.now(), says="It is silent", taken_by=tech)
    SecretReference.objects.create(site=site, opens="Router", kept_where="The drawer", who_may_ask="The manager")


def address_of(name: str) -> str:
    return reverse(name, args=first(ELSEWHERE[name])() if name in ELSEWHERE else ROUTES[name].args())


def collide(people: tuple[Browser, Browser], name: str) -> tuple[Any, dict[str, str]]:
    """Let Ada save while Ben types; return what Ben gets and what he typed."""
    (ada, ben), edit = people, EDITS[name]
    hers, his = (fields_of(browser.get(address_of(name))) for browser in people)
    source = {"source": "The fire-alarm company"} if name == "line-life-safety" else {}
    assert ada.post(address_of(name), hers | source | {edit.field: edit.theirs}).status_code == 302
    assert same(edit.held(), edit.theirs)
    typed = his | source | {edit.field: edit.mine} | dict([edit.also] if edit.also else [])
    return ben.post(address_of(name), typed), typed


def test_every_edit_form_is_in_the_table(people: tuple[Browser, Browser]) -> None:
    named = {name for name in routes(get_resolver().url_patterns) if name.endswith("-edit")} - IN_A_SENTENCE
    gets = {name: route for name, route in ROUTES.items() if route.method == "get" and not name.endswith("-new")}
    shown = {name for name in ELSEWHERE if b'name="version"' in people[0].get(address_of(name)).content}
    for name, route in gets.items():
        try:
            page = people[0].get(reverse(name, args=route.args()))
        except AttributeError:  # what a survey doesn't bring is no edit form of a row
            continue
        if not page.streaming and b'name="version"' in page.content:
            shown.add(name)
    shown -= IN_A_SENTENCE
    assert named | shown == set(EDITS)
    assert shown == set(EDITS)


@pytest.mark.parametrize("name", EDITS)
def test_the_second_writer_sees_both_versions_and_keeps_what_was_typed(
    name: str, people: tuple[Browser, Browser]
) -> None:
    edit = EDITS[name]
    answer, typed = collide(people, name)
    assert answer.status_code == 409
    assert same(edit.held(), edit.theirs), "nothing of the second writer is saved"
    words = text_of(answer)
    assert "Ada Field changed this" in words and "Nothing of yours is saved yet, nor lost:" in words
    assert "Take theirs" in words and "Keep mine" in words
    shown = fields_of(answer)
    assert {key: shown[key] for key in typed if key != "version"} == {k: v for k, v in typed.items() if k != "version"}


@pytest.mark.parametrize("name", EDITS)
@pytest.mark.parametrize("choice", ["mine", "theirs"])
def test_the_choice_decides_and_the_rest_of_what_was_typed_is_saved(
    name: str, choice: str, people: tuple[Browser, Browser]
) -> None:
    edit = EDITS[name]
    answer, _ = collide(people, name)
    again = people[1].post(address_of(name), fields_of(answer) | {f"take-{edit.field}": choice})
    assert again.status_code == 302, text_of(again)
    assert same(edit.held(), edit.mine if choice == "mine" else edit.theirs)


def test_without_a_choice_nothing_is_overwritten(people: tuple[Browser, Browser]) -> None:
    answer, _ = collide(people, "client-edit")
    again = people[1].post(address_of("client-edit"), fields_of(answer))
    assert again.status_code == 409
    assert Client.objects.get().phone == "+1 555 0111"


def test_a_mistake_on_the_second_page_does_not_make_the_choice_forgotten(people: tuple[Browser, Browser]) -> None:
    answer, _ = collide(people, "client-edit")
    wrong = people[1].post(address_of("client-edit"), fields_of(answer) | {"email": "no address"})
    assert wrong.status_code == 422
    again = people[1].post(address_of("client-edit"), fields_of(wrong) | {"email": ""})
    assert again.status_code == 409
    assert Client.objects.get().phone == "+1 555 0111"


def test_a_third_writer_in_between_is_shown_too(people: tuple[Browser, Browser]) -> None:
    ada, ben = people
    answer, _ = collide(people, "client-edit")
    fresh = fields_of(ada.get(address_of("client-edit")))
    ada.post(address_of("client-edit"), fresh | {"email": "desk@example.com"})
    again = ben.post(address_of("client-edit"), fields_of(answer) | {"take-phone": "mine"})
    assert again.status_code == 409
    assert "office@example.com → desk@example.com" in text_of(again)
    saved = ben.post(address_of("client-edit"), fields_of(again))
    assert saved.status_code == 302
    client = Client.objects.get()
    assert (client.email, client.phone, client.contact) == ("desk@example.com", "+1 555 0122", "Night desk")


def test_what_the_second_writer_left_alone_follows_the_first_one(people: tuple[Browser, Browser]) -> None:
    ada, ben = people
    hers, his = (fields_of(browser.get(address_of("client-edit"))) for browser in people)
    ada.post(address_of("client-edit"), hers | {"phone": ""})
    answer = ben.post(address_of("client-edit"), his | {"contact": "Night desk"})
    assert answer.status_code == 409
    assert "+1 555 0100 → not known" in text_of(answer)
    assert ben.post(address_of("client-edit"), fields_of(answer)).status_code == 302
    client = Client.objects.get()
    assert (client.phone, client.contact) == ("", "Night desk")


def test_two_who_typed_the_same_are_not_asked(people: tuple[Browser, Browser]) -> None:
    ada, ben = people
    hers, his = (fields_of(browser.get(address_of("client-edit"))) for browser in people)
    for browser, fields in ((ada, hers), (ben, his)):
        assert browser.post(address_of("client-edit"), fields | {"phone": "1"}).status_code == 302
    assert Client.objects.get().history.count() == 2


def test_ratings_are_decided_on_as_a_whole(people: tuple[Browser, Browser]) -> None:
    ada, ben = people
    hers, his = (fields_of(browser.get(address_of("model-edit"))) for browser in people)
    row = next(name for name, value in hers.items() if name.endswith("-load_ohm") and value == "4")
    power = row.replace("load_ohm", "power_w")
    assert ada.post(address_of("model-edit"), hers | {power: "90"}).status_code == 302
    answer = ben.post(address_of("model-edit"), his | {power: "95", "max_w": "210"})
    assert answer.status_code == 409
    assert "100 W into 4 Ω, 4 Ω or more, 2 channels → 90 W into 4 Ω, 4 Ω or more, 2 channels" in text_of(answer)
    assert ben.post(address_of("model-edit"), fields_of(answer) | {"take-ratings": "theirs"}).status_code == 302
    model = MakeModel.objects.get(name="A2")
    assert (model.ratings.get(load_ohm=4).power_w, model.max_w) == (90, 210)


def test_loudspeaker_data_are_decided_on_field_by_field(people: tuple[Browser, Browser]) -> None:
    address = reverse("model-edit", args=[MakeModel.objects.get(name="C6").pk])
    hers, his = (fields_of(browser.get(address)) for browser in people)
    assert people[0].post(address, hers | {"loudspeaker-power_w": "70"}).status_code == 302
    answer = people[1].post(address, his | {"loudspeaker-power_w": "80", "loudspeaker-coverage_deg": "100"})
    assert answer.status_code == 409
    assert "60 W → 70 W" in text_of(answer)
    chosen = fields_of(answer) | {"take-loudspeaker-power_w": "theirs"}
    assert people[1].post(address, chosen).status_code == 302
    spec = MakeModel.objects.get(name="C6").loudspeaker
    assert (spec.power_w, spec.coverage_deg) == (70, 100)


@pytest.mark.parametrize("choice", ["mine", "theirs"])
def test_the_place_of_an_item_and_its_day_are_one_decision(choice: str, people: tuple[Browser, Browser]) -> None:
    hers, his = (fields_of(browser.get(address_of("item-edit"))) for browser in people)
    assert people[0].post(address_of("item-edit"), hers | {"since": "2024-03-05"}).status_code == 302
    answer = people[1].post(address_of("item-edit"), his | {"since": "2024-03-09", "serial": "S7"})
    assert answer.status_code == 409
    assert "Amplifier 1 since 2024-02-29 → Amplifier 1 since 2024-03-05" in text_of(answer)
    assert people[1].post(address_of("item-edit"), fields_of(answer) | {"take-place": choice}).status_code == 302
    assert (_placed(), Item.objects.get().serial) == ("2024-03-09" if choice == "mine" else "2024-03-05", "S7")


def test_a_coil_that_was_rewired_meanwhile_is_taken_off_only_when_that_is_known(
    people: tuple[Browser, Browser],
) -> None:
    ada, ben = people
    address = reverse("coil-disconnect", args=ROUTES["coil-disconnect"].args())
    asked = fields_of(ben.get(address))
    hers = fields_of(ada.get(address_of("coil-edit")))
    ada.post(address_of("coil-edit"), hers | {"plus": "brown"})
    answer = ben.post(address, asked)
    assert answer.status_code == 409
    assert "Ada Field changed the plus: red → brown. Nothing of yours is done yet" in text_of(answer)
    before = Coil.objects.count()
    assert ben.post(address, fields_of(answer)).status_code == 302
    assert Coil.objects.count() == before - 1


def test_a_visit_that_was_moved_meanwhile_is_called_off_only_when_that_is_known(
    people: tuple[Browser, Browser],
) -> None:
    ada, ben = people
    address = reverse("visit-call-off", args=[Visit.objects.get().pk])
    asked = fields_of(ben.get(address)) | {"reason": "Snow"}
    hers = fields_of(ada.get(address_of("visit-move")))
    ada.post(address_of("visit-move"), hers | {"minutes": "45"})
    answer = ben.post(address, asked)
    assert answer.status_code == 409
    assert "→ 45. Nothing of yours is done yet" in text_of(answer)
    assert fields_of(answer)["reason"] == "Snow"
    assert not Visit.objects.get().called_off_because
    assert ben.post(address, fields_of(answer)).status_code == 302
    assert Visit.objects.get().called_off_because == "Snow"
