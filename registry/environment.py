"""Typed reading of environment variables: a bad value stops the start and says what to write."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def env_bool(name: str, *, default: bool) -> bool:
    """Return true or false from the variable; anything else stops the start."""
    text = os.environ.get(name, "").strip().lower()
    if not text:
        return default
    if text not in {"true", "false"}:
        raise ImproperlyConfigured(f"{name} must be true or false, got {text!r}")
    return text == "true"


def env_list(name: str) -> list[str]:
    """Return the comma-separated words of the variable, without empty ones."""
    return [word.strip() for word in os.environ.get(name, "").split(",") if word.strip()]


def env_int(name: str, *, default: int, minimum: int = 0) -> int:
    """Return a whole number of at least `minimum`."""
    text = os.environ.get(name, "").strip()
    if not text:
        return default
    if not text.isascii() or not text.isdigit() or int(text) < minimum:
        raise ImproperlyConfigured(f"{name} must be a whole number of at least {minimum}, got {text!r}")
    return int(text)


def env_folder(name: str, *, default: Path) -> Path:
    """Return the folder that the variable names by its full path."""
    text = os.environ.get(name, "").strip()
    if text and not Path(text).is_absolute():
        raise ImproperlyConfigured(f"{name} must be the full path of a folder, got {text!r}")
    return Path(text) if text else default


def env_secret(name: str, *, development: str | None) -> str:
    """Return a secret of at least 50 characters; only development may fall back on the known one."""
    text = os.environ.get(name, "")
    if not text and development is not None:
        return development
    if len(text) < 50 or "development" in text:
        raise ImproperlyConfigured(
            f"{name} must be a random text of at least 50 characters, kept out of the repository"
        )
    return text
