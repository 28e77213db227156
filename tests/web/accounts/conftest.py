"""People with passwords, and a way through the door."""

import time
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import UserFactory
from sites.models import Role, User
from sites.second_factor import begin_second_factor, confirm_second_factor
from tests.web.accounts.totp import totp

PASSWORD = "correct horse battery"


@pytest.fixture
def tess(db: None) -> User:
    return UserFactory(username="tess", password=PASSWORD, role=Role.TECH)


@pytest.fixture
def manager(db: None) -> User:
    return UserFactory(username="mara", password=PASSWORD, role=Role.MANAGER)


def knock(password: str = PASSWORD, *, username: str = "tess", browser: Browser | None = None, **extra: Any) -> Any:
    """Post name and password at the door."""
    form = {"username": username, "password": password}
    return (browser or Browser()).post(reverse("sign-in"), form, **extra)


@pytest.fixture
def set_up() -> Callable[[User], tuple[bytes, list[str]]]:
    """Turn a person's second factor on half a minute ago; return the key and the recovery codes."""

    def turned_on(person: User) -> tuple[bytes, list[str]]:
        key = begin_second_factor(by=person).bin_key
        app, codes = confirm_second_factor(by=person, code=totp(key, at=time.time() - 30))
        assert app.confirmed
        return key, codes

    return turned_on
