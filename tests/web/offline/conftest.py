"""North Hall with a visit under way, a restore begun, and a phone that sends entries."""

import json
import uuid
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.models import Restore
from registry.baselines.restoring import start_restore
from registry.demo.factories import BaselineFactory, ReadingFactory
from registry.visits.models import Visit
from sites.models import Site, User
from tests.visits.visit_work import hall_with_a_line, visit_with_tasks, zone_of


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def line(site: Site) -> Line:
    return hall_with_a_line(site)


@pytest.fixture
def zone(line: Line) -> Zone:
    return zone_of(line)


@pytest.fixture
def visit(line: Line, tech: User) -> Visit:
    return visit_with_tasks(line, tech)


@pytest.fixture
def restore(zone: Zone, tech: User) -> Restore:
    ReadingFactory(zone=zone, level_db=60.0, dial=50.0, background_db=None)
    return start_restore(by=tech, baseline=BaselineFactory(site=zone.site, by=tech))


class Phone:
    """Sends entries as the script on the phone does."""

    def __init__(self, browser: Browser, person: User) -> None:
        self.browser, self.person = browser, person

    def entry(self, name: str, /, *args: Any, at: datetime | None = None, **fields: Any) -> dict[str, Any]:
        """Return an entry; a field may hold several values."""
        made = at or timezone.now() - timedelta(minutes=10)
        typed = [[key, str(value)] for key, value in fields.items()]
        address = reverse(name, args=args)
        return {
            "key": str(uuid.uuid4()),
            "person": self.person.pk,
            "address": address,
            "at": made.isoformat(),
            "fields": typed,
        }

    def send(self, entry: dict[str, Any], **files: Any) -> tuple[int, dict[str, Any]]:
        """Post an entry and return status and answer."""
        response = self.browser.post(reverse("phone-entries"), {"entry": json.dumps(entry), **files})
        return response.status_code, response.json()


@pytest.fixture
def phone(browser: Browser, tech: User) -> Phone:
    return Phone(browser, tech)
