"""The server ends under a phone that waits for its answer, and starts again: what was recorded arrives once."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.db import connection
from playwright.sync_api import BrowserContext, expect

from registry.baselines.models import Reading
from registry.visits.models import Visit
from sites.models import Receipt, User
from tests.browser.conftest import PASSWORD
from tests.browser.test_offline import keep, phone, record_level, sign_in, tech, visit
from tests.running.real_database import environment
from tests.running.servers import Server, free_port

__all__ = ["phone", "tech", "visit"]
pytestmark = pytest.mark.django_db(transaction=True)


@contextmanager
def served(port: int, folder: Path) -> Iterator[Server]:
    """Serve the tests' own database by a program of its own, and kill that program at the end."""
    here = connection.settings_dict
    host = f"{here['USER']}@{here['HOST']}:{here['PORT']}" if connection.vendor == "postgresql" else ""
    url = f"{'postgres' if host else 'sqlite'}://{host}/{here['NAME']}"
    command = [sys.executable, "manage.py", "runserver", "--noreload", f"127.0.0.1:{port}"]
    settings = environment(url, EVENKEEL_DEBUG="true", EVENKEEL_MEDIA=str(folder / "media"))
    server = Server(command, settings, port, folder / "server.log")
    try:
        server.wait_for("/health/")
        yield server
    finally:
        server.process.kill()
        server.process.wait()


def test_the_server_is_killed_and_starts_again(phone: BrowserContext, tech: User, visit: Visit, tmp_path: Path) -> None:
    # The program runs with the real hash of passwords, the tests with a fast one.
    hasher = Argon2PasswordHasher()
    tech.password = hasher.encode(PASSWORD, hasher.salt())
    tech.save()
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    page = phone.new_page()
    with served(port, tmp_path) as server:
        sign_in(page, url)
        keep(page, url)
        page.goto(f"{url}/visits/{visit.pk}/")
        server.process.kill()
        server.process.wait()
        record_level(page, url, visit, "62.5")
    with served(port, tmp_path):
        page.goto(f"{url}/phone/")
        expect(page.locator("#no-entries")).to_be_visible()
    (reading,) = Reading.objects.all()
    assert reading.level_db == 62.5
    assert Receipt.objects.count() == 1
