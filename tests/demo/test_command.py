"""`manage.py demo`: once, in debug mode, into an empty register."""

import io
import re
import sys
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from pytest_django import Settings

from registry.demo.factories import ClientFactory, UserFactory
from registry.demo.management.commands import demo as module
from sites.models import Role, User
from sites.queries import sites_visible_to

pytestmark = pytest.mark.django_db


def run(*arguments: str) -> str:
    out = io.StringIO()
    call_command("demo", *arguments, stdout=out)
    return out.getvalue()


def passwords(printed: str) -> dict[str, str]:
    return dict(re.findall(r"^  (\w+) +(\w{16})  \(", printed, re.MULTILINE))


def rows() -> dict[str, int]:
    return {model._meta.label: model._base_manager.count() for model in apps.get_models()}


@pytest.fixture
def debug(settings: Settings) -> None:
    settings.DEBUG = True


def test_it_loads_once_and_the_second_run_changes_nothing_but_the_passwords(debug: None) -> None:
    first = run()
    assert "Loaded 16 sites of 13 clients." in first
    before = rows()
    second = run()
    assert rows() == before
    assert "loaded already: nothing was changed but the passwords" in second
    old, new = passwords(first), passwords(second)
    assert set(old) == set(new) == {"manager", "tech", "owner"}
    for username, role in (("manager", Role.MANAGER), ("tech", Role.TECH), ("owner", Role.OWNER)):
        user = User.objects.get(username=username)
        assert user.role == role
        assert user.check_password(new[username])
        assert not user.check_password(old[username])
    owner = User.objects.get(username="owner")
    assert [site.code for site in sites_visible_to(owner)] == ["sallow-bank"]


def test_outside_debug_mode_it_refuses_and_writes_nothing(settings: Settings) -> None:
    settings.DEBUG = False
    with pytest.raises(CommandError, match="EVENKEEL_DEBUG=true") as refused:
        run()
    assert refused.value.returncode == 2
    assert not User.objects.exists()


@pytest.mark.parametrize("other", [lambda: ClientFactory(), lambda: UserFactory(username="owner")])
def test_it_does_not_mix_with_other_data(debug: None, other: Any) -> None:
    other()
    before = rows()
    with pytest.raises(CommandError, match="holds other data"):
        run()
    assert rows() == before


def test_without_factory_boy_it_says_what_to_install(debug: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "registry.demo.loading", None)
    with pytest.raises(CommandError, match="pip install") as refused:
        run()
    assert refused.value.returncode == 2


@pytest.mark.parametrize(
    ("arguments", "address"), [(["--serve"], "127.0.0.1:8000"), (["--serve", "0.0.0.0:8123"], "0.0.0.0:8123")]
)
def test_it_serves_where_it_is_told_to(
    debug: None, monkeypatch: pytest.MonkeyPatch, arguments: list[str], address: str
) -> None:
    called: list[tuple[Any, ...]] = []
    monkeypatch.setattr(module, "call_command", lambda *args, **options: called.append((*args, options)))
    monkeypatch.setattr(module.Command, "_load", lambda command: None)
    assert f"http://{address}/" in run(*arguments)
    assert called[-1] == ("runserver", address, {"use_reloader": False})
