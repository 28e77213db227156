"""The whole demo, loaded once for all tests of this folder and taken back at their end."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.db import transaction
from django.test import Client as Browser
from django.test import override_settings
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from registry.demo.loading import load_demo
from sites.models import Site, User


@pytest.fixture(scope="package")
def demo(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Site]:
    media: Path = tmp_path_factory.mktemp("media")
    with django_db_blocker.unblock(), override_settings(MEDIA_ROOT=media), transaction.atomic():
        load_demo(today=timezone.localdate())
        yield Site.objects.get(code="sallow-bank")
        transaction.set_rollback(True)


@pytest.fixture
def manager(demo: Site) -> User:
    return User.objects.get(username="manager")


@pytest.fixture
def browser(manager: User) -> Browser:
    found = Browser()
    found.force_login(manager)
    return found
