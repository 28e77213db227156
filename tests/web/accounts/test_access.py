"""Every address of accounts and people × every role."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import UserFactory
from registry.web.accounts.urls import urlpatterns
from sites.models import Role, User
from tests.web.conftest import SignIn

ROLES = (None, Role.MANAGER, Role.TECH, Role.OWNER)
# Anonymous, manager, tech, owner.
OWN = (302, 200, 200, 200)
OWN_BUTTON = (302, 302, 302, 302)
MANAGERS = (302, 200, 403, 403)
MANAGERS_BUTTON = (302, 302, 403, 403)
Args = Callable[[User], list[Any]]


def nothing(person: User) -> list[Any]:
    return []


def them(person: User) -> list[Any]:
    return [person.pk]


ROUTES: dict[str, tuple[str, Args, tuple[int, ...]]] = {
    "sign-in": ("get", nothing, (200, 302, 302, 302)),
    "sign-in-code": ("get", nothing, (302, 302, 302, 302)),
    "sign-out": ("post", nothing, (302, 302, 302, 302)),
    "password-ask": ("get", nothing, (200, 200, 200, 200)),
    "password-link": ("get", lambda person: ["MQ", "no-such-link"], (200, 200, 200, 200)),
    "account": ("get", nothing, OWN),
    "password-change": ("get", nothing, OWN),
    "second-factor-on": ("get", nothing, OWN),
    "second-factor-off": ("get", nothing, OWN),
    "recovery-codes": ("get", nothing, OWN_BUTTON),
    "sign-ins-end": ("post", nothing, OWN_BUTTON),
    "sign-in-end": ("post", lambda person: ["nobodys"], (302, 404, 404, 404)),
    "people": ("get", nothing, MANAGERS),
    "person-new": ("get", nothing, MANAGERS),
    "person": ("get", them, MANAGERS),
    "person-edit": ("get", them, MANAGERS),
    "person-link": ("post", them, MANAGERS_BUTTON),
    "person-sign-out": ("post", them, MANAGERS_BUTTON),
    "person-factor-reset": ("post", them, MANAGERS_BUTTON),
    "person-shut-out": ("post", them, MANAGERS_BUTTON),
    "person-let-in": ("post", them, MANAGERS_BUTTON),
}


def test_every_address_is_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == set(ROUTES)


@pytest.mark.parametrize("name", ROUTES)
def test_every_role_gets_what_the_table_says(name: str, db: None, sign_in: SignIn) -> None:
    method, args, answers = ROUTES[name]
    address = reverse(name, args=args(UserFactory()))
    for role, expected in zip(ROLES, answers, strict=True):
        browser = sign_in(UserFactory(role=role)) if role else Browser()
        assert getattr(browser, method)(address).status_code == expected, role
