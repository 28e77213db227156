"""A photo of a spot is kept under a name of ours, and leaves nothing behind when it is refused or removed."""

from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured

from registry.audio.models import Line, Zone
from registry.environment import env_folder
from registry.planning.models import Commissioning, SpotPhoto
from registry.planning.photos import add_photo, remove_photo
from sites.models import User, YesNoUnknown
from tests.sites.test_photos import photo


@pytest.fixture
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.mark.django_db
def test_a_photo_is_kept_under_a_name_of_ours_and_can_be_removed(
    run: Commissioning, tech: User, shop: Zone, media: Path, django_capture_on_commit_callbacks: Any
) -> None:
    kept = add_photo(by=tech, commissioning=run, zone=shop, data=photo())
    files = [path for path in media.rglob("*") if path.is_file()]
    assert [path.parent.name for path in files] == ["spots"]
    assert files[0].suffix == ".jpg"
    assert (kept.zone, kept.spot, kept.taken_by) == (shop, "P1 by the till", tech)
    with django_capture_on_commit_callbacks(execute=True):
        remove_photo(by=tech, photo=kept)
    assert not [path for path in media.rglob("*") if path.is_file()]
    assert not SpotPhoto.objects.exists()
    assert SpotPhoto.history.filter(history_type="-").get().history_user == tech


@pytest.mark.django_db
def test_a_refused_photo_leaves_nothing_behind(run: Commissioning, tech: User, shop: Zone, media: Path) -> None:
    with pytest.raises(ValueError, match="no photo"):
        add_photo(by=tech, commissioning=run, zone=shop, data=b"<html>")
    Line.objects.filter(name="L1").update(life_safety=YesNoUnknown.YES)
    with pytest.raises(ValueError, match="life-safety"):
        add_photo(by=tech, commissioning=run, zone=shop, data=photo())
    assert not [path for path in media.rglob("*") if path.is_file()]


def test_the_folder_of_photos_is_named_by_its_full_path(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("X", "photos")
    with pytest.raises(ImproperlyConfigured, match="X must be the full path of a folder, got 'photos'"):
        env_folder("X", default=tmp_path)
    monkeypatch.setenv("X", "/srv/photos")
    assert env_folder("X", default=tmp_path) == Path("/srv/photos")
    monkeypatch.delenv("X")
    assert env_folder("X", default=tmp_path) == tmp_path
