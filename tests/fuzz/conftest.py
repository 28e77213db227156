"""The whole demo, loaded once for all tests of this folder and taken back at their end."""

from collections.abc import Iterator

import pytest
from django.test import Client as Browser
from pytest_django import DjangoDbBlocker

from sites.models import Site, User
from tests.whole_demo import whole_demo


@pytest.fixture(scope="package")
def demo(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Site]:
    with whole_demo(django_db_blocker, tmp_path_factory.mktemp("media")) as site:
        yield site


@pytest.fixture
def manager(demo: Site) -> User:
    return User.objects.get(username="manager")


@pytest.fixture
def browser(manager: User) -> Browser:
    found = Browser()
    found.force_login(manager)
    return found
