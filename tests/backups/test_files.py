"""Files of rows: on the disk before they are told as saved, and swept when no row names them."""

import os
import time
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage, storages
from django.core.management import call_command

from registry.backups.media import named_files
from sites.durable_files import DurableFiles
from sites.models import Site

OLD = time.time() - 2 * 24 * 3600


def test_a_file_and_its_folder_are_forced_to_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    forced: list[str] = []
    real = os.fsync

    def fsync(handle: int) -> None:
        forced.append(str(Path(f"/proc/self/fd/{handle}").readlink()))
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    name = DurableFiles(location=tmp_path).save("visits/one.jpg", ContentFile(b"1"))
    assert name == "visits/one.jpg"
    assert forced == [str(tmp_path / "visits" / "one.jpg"), str(tmp_path / "visits")]


def test_the_register_keeps_its_files_so() -> None:
    assert type(storages["default"]) is DurableFiles


def test_stray_files_are_swept_and_no_others(register: Site, media: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kept,) = named_files()
    for name in ("documents/stray", "visits/young", "waiting/1-x.zip"):
        default_storage.save(name, ContentFile(b"x"))
    for name in (kept, "documents/stray"):
        os.utime(media / name, (OLD, OLD))
    call_command("tidy")
    assert "Files that no row names: 1\n" in capsys.readouterr().out
    there = {str(path.relative_to(media)) for path in media.rglob("*") if path.is_file()}
    assert there == {kept, "visits/young", "waiting/1-x.zip"}
