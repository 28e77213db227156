"""A visit under way in a hall, two techs."""

from pathlib import Path
from typing import Any

import pytest

from registry.audio.models import Line, Zone
from registry.demo.factories import SiteFactory, UserFactory
from registry.visits.models import Visit
from sites.models import Role, User
from tests.visits.visit_work import hall_with_a_line, visit_with_tasks, zone_of


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory(username="tech", role=Role.TECH)


@pytest.fixture
def other(db: None) -> User:
    return UserFactory(username="other", role=Role.TECH)


@pytest.fixture
def line(db: None) -> Line:
    return hall_with_a_line(SiteFactory(name="North Hall"))


@pytest.fixture
def zone(line: Line) -> Zone:
    return zone_of(line)


@pytest.fixture
def visit(line: Line, tech: User) -> Visit:
    return visit_with_tasks(line, tech)
