"""Bring a backup back: check all of it, then load, then compare all of it with what the backup says."""

import tempfile
from pathlib import Path

from django.core.files.storage import Storage
from django.db.migrations.loader import MigrationLoader

from registry.backups import media
from registry.backups.archive import DATABASE, MEDIA, unpacked
from registry.backups.databases import Database
from registry.backups.errors import BackupError
from registry.backups.manifest import Content, Manifest, Part


def bring_back(
    path: Path, *, into: Database, storage: Storage, passphrase: str = "", replace: bool = False
) -> Manifest:
    """Bring a backup back and return its list of contents.

    Raises BackupError before anything is touched when the file isn't whole, is newer than this program or of another
    kind, or when something else is there and `replace` isn't said; afterwards when what came back isn't the same.
    """
    if not path.is_file():
        raise BackupError(f"there is no file {path}")
    with tempfile.TemporaryDirectory(prefix="evenkeel-") as scratch:
        manifest, places = unpacked(path, passphrase, Path(scratch))
        _refuse_unfit(manifest, into)
        into.check(places[DATABASE])
        files = media_of(manifest)
        if not replace:
            _refuse_occupied(into, media.conflicts(storage, files))
        media.unpack(storage, files, places)
        into.load(places[DATABASE])
    compare(manifest, into.content(), storage)
    return manifest


def media_of(manifest: Manifest) -> dict[str, Part]:
    """Return the files of a backup by the names that rows know them under."""
    return {name.removeprefix(MEDIA): part for name, part in manifest.parts.items() if name.startswith(MEDIA)}


def waiting_migrations(manifest: Manifest) -> int:
    """Return how many of this program's changes to the tables the backup doesn't have."""
    known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    return len(known - set(manifest.content.migrations))


def _unknown_migrations(manifest: Manifest) -> set[str]:
    on_disk = MigrationLoader(None).disk_migrations
    known = {*on_disk, *(key for migration in on_disk.values() for key in migration.replaces)}
    return set(manifest.content.migrations) - {f"{app}.{name}" for app, name in known}


def _refuse_unfit(manifest: Manifest, into: Database) -> None:
    if DATABASE not in manifest.parts:
        raise BackupError("this backup holds no database: take another one")
    if manifest.content.kind != into.kind:
        raise BackupError(f"this backup is of {manifest.content.kind}: --into names a database of {into.kind}")
    if newer := _unknown_migrations(manifest):
        raise BackupError(
            f"this backup was made by a newer version ({manifest.version}; {len(newer)} changes to the tables are "
            f"unknown here): bring it back with that version"
        )


def _refuse_occupied(into: Database, conflicts: list[str]) -> None:
    if not into.is_empty():
        raise BackupError("that database isn't empty: name an empty one, or say --replace")
    if conflicts:
        raise BackupError(f"other files are there already ({conflicts[0]} …): name an empty folder, or say --replace")


def compare(manifest: Manifest, found: Content, storage: Storage) -> None:
    """Raise BackupError with what differs between a backup's list of contents and what is there now."""
    was = manifest.content
    differ = [
        f"table {name}: {was.tables.get(name)} became {found.tables.get(name)}"
        for name in sorted({*was.tables, *found.tables})
        if was.tables.get(name) != found.tables.get(name)
    ]
    differ += [f"{name} is missing" for name in sorted(set(was.guards) - set(found.guards))]
    differ += [
        f"file {name} differs"
        for name, part in media_of(manifest).items()
        if media.digest(storage, name) != part.sha256
    ]
    if differ:
        raise BackupError(f"what came back is not what was backed up: {'; '.join(differ[:10])}")
