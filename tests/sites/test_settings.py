"""Settings refuse what they can't use, and production refuses the development key."""

import os
import subprocess
import sys

import pytest
from django.core.exceptions import ImproperlyConfigured

from registry.environment import env_bool, env_int, env_list, env_secret
from tests.architecture.source import ROOT


def test_a_truth_value_is_true_or_false(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("X", "yes")
    with pytest.raises(ImproperlyConfigured, match="X must be true or false, got 'yes'"):
        env_bool("X", default=False)
    monkeypatch.setenv("X", "True")
    assert env_bool("X", default=False) is True
    monkeypatch.delenv("X")
    assert env_bool("X", default=True) is True


@pytest.mark.parametrize("text", ["-1", "1.5", "many", "٣"])
def test_a_number_is_whole(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setenv("X", text)
    with pytest.raises(ImproperlyConfigured, match="X must be a whole number"):
        env_int("X", default=1)


def test_a_list_has_no_empty_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("X", "a.example, ,b.example,")
    assert env_list("X") == ["a.example", "b.example"]


def test_a_secret_is_long_and_not_the_development_one(monkeypatch: pytest.MonkeyPatch) -> None:
    for text in ("", "short", "development-only-key-" + "x" * 60):
        monkeypatch.setenv("X", text)
        with pytest.raises(ImproperlyConfigured, match="at least 50 characters"):
            env_secret("X", development=None)


def test_production_does_not_start_without_a_key() -> None:
    environment = {key: value for key, value in os.environ.items() if not key.startswith("EVENKEEL_")}
    environment["DJANGO_SETTINGS_MODULE"] = "registry.settings"
    result = subprocess.run(
        [sys.executable, "-c", "import django; django.setup()"],
        env=environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert result.returncode == 1
    assert "EVENKEEL_SECRET_KEY must be a random text" in result.stderr
