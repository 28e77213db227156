"""The demo as it stands on a fixed day; each module builds what it reads once and takes it back at its end."""

from collections.abc import Iterator
from datetime import date

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from registry.demo.building import build_clients
from registry.demo.factories import UserFactory
from registry.demo.garden_centre import load_garden_centre
from sites.models import Site

TODAY = date(2026, 2, 26)


@pytest.fixture(scope="module")
def garden_centre(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Site]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_garden_centre(by=UserFactory(username="garden-tech"), today=TODAY)
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def other_sites(garden_centre: Site) -> list[Site]:
    return build_clients(by=UserFactory(username="other-tech"), today=TODAY)
