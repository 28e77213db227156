"""Uploads are kept in a folder of the test's own."""

from pathlib import Path
from typing import Any

import pytest
from pytest_django import Settings


@pytest.fixture(autouse=True)
def state_dir(settings: Settings, tmp_path: Path) -> Path:
    settings.STATE_DIR = tmp_path
    return tmp_path


def kept_in(state_dir: Path) -> list[Any]:
    """Return the uploads that wait for their confirmation."""
    return sorted((state_dir / "surveys").glob("*"))
