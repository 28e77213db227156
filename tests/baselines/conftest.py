"""A surveyed site, ready to be frozen."""

import pytest

from registry.demo.factories import UserFactory
from registry.exchange.importing import import_survey
from sites.models import Role, Site, User
from tests.exchange.small_survey import survey


@pytest.fixture
def site(db: None) -> Site:
    import_survey(survey(), by=None)
    return Site.objects.get()


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory(role=Role.TECH)
