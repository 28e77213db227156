"""Uploads are kept in a folder of the test's own."""

from pathlib import Path
from typing import Any

import pytest
from pytest_django import Settings


@pytest.fixture(autouse=True)
def media(settings: Settings, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def kept_in(media: Path) -> list[Any]:
    """Return the uploads that wait for their confirmation."""
    return sorted((media / "waiting").glob("*"))
