"""Pages of tokens: for managers only; the secret is seen once, and a token that is taken back opens nothing."""

import re
from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from registry.demo.factories import UserFactory
from sites.models import IntegrationToken, Role, Site, User
from sites.put import RefusedError
from sites.tokens import issue_token, token_of
from tests.api.conftest import Program
from tests.web.conftest import SignIn
from tests.web.pages import queries_of, text_of


@pytest.fixture
def manager(db: None) -> User:
    return UserFactory(username="manager", role=Role.MANAGER)


@pytest.fixture
def token(manager: User) -> IntegrationToken:
    return issue_token(by=manager, name="Bookkeeping", every_client=True).token


@pytest.mark.parametrize("name", ["tokens", "token-new", "token-revoke"])
def test_only_managers_look_after_tokens(
    name: str, token: IntegrationToken, manager: User, tech: User, owner: User, sign_in: SignIn
) -> None:
    address = reverse(name, args=[token.pk] if name == "token-revoke" else [])
    assert sign_in(manager).get(address).status_code == 200
    for user in (tech, owner):
        assert sign_in(user).get(address).status_code == 403
        assert sign_in(user).post(address).status_code == 403


def test_a_token_is_shown_once_works_and_is_taken_back(site: Site, manager: User, sign_in: SignIn) -> None:
    browser = sign_in(manager)
    form = {"name": "Bookkeeping", "clients": [site.client_id], "last_day": "2999-12-31"}
    page = browser.post(reverse("token-new"), form)
    secret = re.findall(r'value="(evenkeel_[\w-]{43})"', page.content.decode())[0]
    assert "no-store" in page.headers["Cache-Control"]
    made = IntegrationToken.objects.get()
    assert made.expires_at == datetime.combine(date(2999, 12, 31), datetime.max.time(), tzinfo=UTC)
    assert secret not in browser.get(reverse("tokens")).content.decode()
    assert secret not in str(list(IntegrationToken.objects.values())) + str(list(IntegrationToken.history.values()))
    program = Program(secret)
    assert [row["code"] for row in program.read("sites/").json()["results"]] == [site.code]
    browser.post(reverse("token-revoke", args=[made.pk]))
    assert program.read("sites/").status_code == 401
    assert "taken back" in text_of(browser.get(reverse("tokens")))


def test_a_token_stops_on_its_last_day_and_its_use_is_noted_once_an_hour(manager: User) -> None:
    issued = issue_token(by=manager, name="Export", every_client=True)
    assert token_of(issued.secret) is not None
    noted = IntegrationToken.objects.get().last_used_at
    assert token_of(issued.secret) is not None
    assert IntegrationToken.objects.get().last_used_at == noted
    IntegrationToken.objects.update(expires_at=datetime(2026, 1, 1, tzinfo=UTC))
    assert token_of(issued.secret) is None


def test_what_a_token_sees_is_said(manager: User, tech: User, site: Site) -> None:
    with pytest.raises(RefusedError, match="one of the two"):
        issue_token(by=manager, name="A")
    with pytest.raises(RefusedError, match="one of the two"):
        issue_token(by=manager, name="A", every_client=True, clients=[site.client])
    with pytest.raises(RefusedError, match="past"):
        issue_token(by=manager, name="A", every_client=True, expires_at=datetime(2020, 1, 1, tzinfo=UTC))
    with pytest.raises(RefusedError, match="only a manager"):
        issue_token(by=tech, name="A", every_client=True)


def test_nobody_signs_in_as_a_program(token: IntegrationToken) -> None:
    assert not token.user.has_usable_password()
    assert not token.user.check_password("")


def test_the_list_costs_the_same_with_more_tokens(manager: User, sign_in: SignIn) -> None:
    browser = sign_in(manager)
    issue_token(by=manager, name="A", every_client=True)
    one = queries_of(browser, reverse("tokens"))
    for name in ("B", "C"):
        issue_token(by=manager, name=name, every_client=True)
    assert queries_of(browser, reverse("tokens")) == one
