"""The files that rows name: photos and documents, in whatever storage holds them."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from datetime import timedelta
from pathlib import Path
from typing import Final

from django.apps import apps
from django.core.files import File
from django.core.files.storage import Storage, default_storage
from django.db.models import FileField
from django.utils import timezone

from registry.backups.archive import MEDIA, PIECE, ArchiveWriter
from registry.backups.errors import BackupError
from registry.backups.manifest import Part
from registry.equipment.document_queries import purged_files

YOUNG: Final = timedelta(days=1)  # a file is written before its row: what is that young may still get one


def pack(archive: ArchiveWriter, names: Iterable[str]) -> list[str]:
    """Put these files into a backup, and return those that aren't there."""
    absent = []
    for name in names:
        try:
            with default_storage.open(name) as file:
                archive.add(MEDIA + name, file, file.size)
        except FileNotFoundError:
            absent.append(name)
    return absent


def lost(absent: Iterable[str]) -> list[str]:
    """Return which of these files a row still names, other than those whose content a manager removed."""
    gone = set(absent)
    return sorted(gone & named_files() - purged_files()) if gone else []


def named_files() -> set[str]:
    """Return the names of all files that the register's rows name."""
    return {
        name
        for model in apps.get_models()
        for column in model._meta.local_fields
        if isinstance(column, FileField)
        for name in model._default_manager.values_list(column.name, flat=True).distinct()
        if name
    }


def sweep_unclaimed_files() -> int:
    """Delete files of photos and documents that no row names, and return how many.

    They are left when the program is killed between file and row. Younger ones than a day stay.
    """
    folders = {
        str(column.upload_to).strip("/")
        for model in apps.get_models()
        for column in model._meta.local_fields
        if isinstance(column, FileField)
    }
    # Listed before the rows are read: a file that comes afterwards isn't among them.
    there = [name for folder in sorted(folders) for name in _old_files(folder)]
    unclaimed = set(there) - named_files()
    for name in unclaimed:
        default_storage.delete(name)
    return len(unclaimed)


def _old_files(folder: str) -> Iterator[str]:
    try:
        names = [f"{folder}/{name}" for name in default_storage.listdir(folder)[1]]
    except FileNotFoundError:
        return
    for name in names:
        if default_storage.get_modified_time(name) < timezone.now() - YOUNG:
            yield name


def conflicts(storage: Storage, parts: Mapping[str, Part]) -> list[str]:
    """Return the files that are there already with another content."""
    return sorted(
        name for name, part in parts.items() if (there := digest(storage, name)) is not None and there != part.sha256
    )


def unpack(storage: Storage, parts: Mapping[str, Part], places: Mapping[str, Path]) -> None:
    """Put files where they belong; one that is there with the same content stays."""
    for name, part in parts.items():
        there = digest(storage, name)
        if there == part.sha256:
            continue
        if there is not None:
            storage.delete(name)
        with places[MEDIA + name].open("rb") as file:
            if storage.save(name, File(file)) != name:
                raise BackupError(f"{name} can't be put under its own name: bring the files into an empty folder")


def digest(storage: Storage, name: str) -> str | None:
    """Return a file's SHA-256, or None when it isn't there."""
    found = hashlib.sha256()
    try:
        with storage.open(name) as file:
            while data := file.read(PIECE):
                found.update(data)
    except FileNotFoundError:
        return None
    return found.hexdigest()
