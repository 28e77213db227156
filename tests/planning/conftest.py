"""The tech who plans, and the climbing hall with its nine zones."""

import pytest

from registry.demo.factories import UserFactory
from sites.models import Role, Site, User
from tests.planning.nine_zones import make_site


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory(username="tech", role=Role.TECH)


@pytest.fixture
def hall(tech: User) -> Site:
    return make_site(tech)
