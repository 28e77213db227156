"""Every address × every role: a missing route fails, a stranger gets 404, a reader who writes 403."""

from collections.abc import Callable
from typing import Any, NamedTuple

import pytest
from django.test import Client as Browser
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from registry.api.urls import urlpatterns as api
from registry.audio.models import Coil, Line, Zone
from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Baseline, Reading, Restore
from registry.baselines.restoring import start_restore
from registry.demo.factories import MembershipFactory, UserFactory
from registry.equipment.models import ConfigurationRecord, Item, MakeModel, Place
from registry.exchange.importing import import_survey
from registry.web.accounts.urls import urlpatterns as accounts
from registry.web.calls.urls import urlpatterns as calls
from registry.web.commissioning.urls import urlpatterns as commissioning
from registry.web.documents.urls import urlpatterns as documents
from registry.web.offline.urls import urlpatterns as offline
from registry.web.planning.urls import urlpatterns as planning
from registry.web.reports.owners_urls import urlpatterns as owners
from registry.web.tokens.urls import urlpatterns as tokens
from registry.web.visit_plans.urls import urlpatterns as visit_plans
from registry.web.visits.urls import urlpatterns as visits
from sites.models import Client, Rack, Role, Site, Space, User
from tests.exchange.small_survey import survey

pytestmark = pytest.mark.django_db

ROLES = ("anonymous", "manager", "tech", "owner", "stranger")
# What each kind of address answers to the roles above.
EVERYBODY_IN = (302, 200, 200, 200, 200)
READ = (302, 200, 200, 200, 404)
WRITE = (302, 200, 200, 403, 404)
WRITE_ANYWHERE = (302, 200, 200, 403, 403)
MANAGER_WRITES = (302, 200, 403, 403, 404)
# A form that was let in: taken (302), shown again with what is missing (422), or naming nothing that is there (404).
LET_IN = {200, 302, 400, 404, 409, 422}


def first(model: Any) -> Callable[[], list[Any]]:
    return lambda: [model.objects.order_by("pk").first().pk]


def code() -> list[Any]:
    return ["acre"]


def nothing() -> list[Any]:
    return []


class Route(NamedTuple):
    """How an address is reached, and what it answers to each role."""

    args: Callable[[], list[Any]]
    answers: tuple[int, ...]
    method: str = "get"


ROUTES: dict[str, Route] = {
    "today": Route(nothing, EVERYBODY_IN),
    "search": Route(nothing, EVERYBODY_IN),
    "history": Route(nothing, WRITE_ANYWHERE),
    "clients": Route(nothing, EVERYBODY_IN),
    "client-new": Route(nothing, WRITE_ANYWHERE),
    "client": Route(first(Client), READ),
    "client-edit": Route(first(Client), WRITE),
    "site-new": Route(first(Client), WRITE),
    "sites": Route(nothing, EVERYBODY_IN),
    "site": Route(code, READ),
    "site-edit": Route(code, WRITE),
    "space-new": Route(code, WRITE),
    "space-edit": Route(first(Space), WRITE),
    "rack-new": Route(code, WRITE),
    "rack": Route(first(Rack), READ),
    "rack-edit": Route(first(Rack), WRITE),
    "equipment": Route(nothing, EVERYBODY_IN),
    "item-new": Route(code, WRITE),
    "item": Route(first(Item), READ),
    "item-edit": Route(first(Item), WRITE),
    "place-new": Route(code, WRITE),
    "place": Route(first(Place), READ),
    "place-edit": Route(first(Place), WRITE),
    "record-settings": Route(first(Place), WRITE),
    "record-correct": Route(first(ConfigurationRecord), WRITE),
    "models": Route(nothing, EVERYBODY_IN),
    "model-new": Route(nothing, WRITE_ANYWHERE),
    "model": Route(first(MakeModel), READ),
    "model-edit": Route(first(MakeModel), WRITE),
    "lines": Route(nothing, EVERYBODY_IN),
    "line-new": Route(code, WRITE),
    "line": Route(first(Line), READ),
    "line-edit": Route(first(Line), WRITE),
    "line-life-safety": Route(first(Line), MANAGER_WRITES),
    "line-what-if": Route(first(Line), READ),
    "coil-new": Route(first(Line), WRITE),
    "coil-edit": Route(first(Coil), WRITE),
    "coil-disconnect": Route(first(Coil), WRITE),
    "zones": Route(nothing, EVERYBODY_IN),
    "zone": Route(first(Zone), READ),
    "zone-edit": Route(first(Zone), WRITE),
    "zone-new": Route(code, WRITE),
    "reading-new": Route(first(Zone), WRITE),
    "reading-correct": Route(first(Reading), WRITE),
    "site-drift": Route(code, READ),
    "baselines": Route(code, READ),
    "baseline-freeze": Route(code, WRITE),
    "baseline-compare": Route(code, READ),
    "baseline": Route(first(Baseline), READ),
    "restore-sheet": Route(first(Baseline), READ),
    "restore-sheet-pdf": Route(first(Baseline), READ),
    "restore-start": Route(first(Baseline), WRITE, "post"),
    "restore": Route(first(Restore), READ),
    "restore-step": Route(first(Restore), WRITE, "post"),
    "restore-group": Route(first(Restore), WRITE, "post"),
    "restore-reading": Route(first(Restore), WRITE, "post"),
    "restore-sign": Route(first(Restore), WRITE, "post"),
    "survey-import": Route(nothing, WRITE_ANYWHERE),
    "survey-preview": Route(lambda: ["0" * 64], (302, 302, 302, 403, 403)),
    "survey-export": Route(code, READ),
    "door-card-page": Route(code, READ),
    "door-card": Route(code, READ),
    "labels": Route(code, READ),
    "labels-pdf": Route(code, READ),
    "site-network": Route(code, READ),
    "sweep-import": Route(code, WRITE),
    "sweep-preview": Route(lambda: ["acre", "0" * 32], (302, 302, 302, 403, 404)),
    "item-seen-address": Route(first(Item), WRITE, "post"),
    "workbench": Route(nothing, EVERYBODY_IN),
    "comparator": Route(nothing, EVERYBODY_IN),
    "zone-comparator": Route(first(Zone), READ),
    "calculation": Route(lambda: ["cable-loss"], EVERYBODY_IN),
    "calculation-file": Route(lambda: ["noise-signal"], EVERYBODY_IN),
}


def routes(patterns: list[Any]) -> set[str]:
    found: set[str] = set()
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            found |= set() if pattern.app_name == "admin" else routes(pattern.url_patterns)
        elif isinstance(pattern, URLPattern):
            found.add(pattern.name or str(pattern.pattern))
    return found


@pytest.fixture
def people(db: None) -> dict[str, User | None]:
    import_survey(survey(), by=None)
    site = Site.objects.get()
    people = {role: UserFactory(role=role) for role in ("manager", "tech")}
    people |= {name: UserFactory(role=Role.OWNER) for name in ("owner", "stranger")}
    MembershipFactory(user=people["owner"], client=site.client)
    MembershipFactory(user=people["stranger"])
    baseline = freeze_baseline(by=people["tech"], site=site, reason="Commissioning")
    start_restore(by=people["tech"], baseline=baseline)
    return {"anonymous": None, **people}


def browser_of(person: User | None) -> Browser:
    browser = Browser()
    if person:
        browser.force_login(person)
    return browser


def test_every_route_is_in_a_table() -> None:
    # These subjects have tables of their own beside their tests.
    tables = (
        *(*accounts, *tokens, *commissioning, *documents, *planning, *visit_plans, *visits, *calls, *offline),
        *owners,
    )
    elsewhere = {pattern.name for pattern in tables} | {"wiring-sheet-pdf"} | routes(api)
    assert routes(get_resolver().url_patterns) == set(ROUTES) | elsewhere


@pytest.mark.parametrize("name", ROUTES)
def test_every_role_gets_what_the_table_says(name: str, people: dict[str, User | None]) -> None:
    route = ROUTES[name]
    address = reverse(name, args=route.args())
    for role, expected in zip(ROLES, route.answers, strict=True):
        answer = getattr(browser_of(people[role]), route.method)(address)
        allowed = LET_IN if route.method == "post" and expected == 200 else {expected}
        assert answer.status_code in allowed, (role, answer.status_code)
        if role == "anonymous" and expected == 302 and name != "sign-out":
            assert answer["Location"].startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", [name for name, route in ROUTES.items() if 403 in route.answers])
def test_a_reader_writes_nothing_by_post_either(name: str, people: dict[str, User | None]) -> None:
    route = ROUTES[name]
    address, (*_, owner, stranger) = reverse(name, args=route.args()), route.answers
    for role, expected in (("owner", owner), ("stranger", stranger)):
        assert browser_of(people[role]).post(address, {}).status_code == expected


def test_the_admin_is_for_stewards_only(people: dict[str, User | None]) -> None:
    assert browser_of(people["manager"]).get("/admin/").status_code in {302, 403}
    steward = UserFactory(role=Role.MANAGER, is_staff=True, is_superuser=True)
    assert browser_of(steward).get("/admin/").status_code == 200
