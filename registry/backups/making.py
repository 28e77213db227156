"""Make a backup: the database at one moment, then the files that its rows name, then the list of contents."""

import tempfile
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Final, NamedTuple

from registry.backups import media
from registry.backups.archive import DATABASE, writing
from registry.backups.databases import live_database
from registry.backups.errors import BackupError
from registry.backups.manifest import Manifest

ENDING: Final = ".tar.gz"
SEALED: Final = ".sealed"
PREFIX: Final = "evenkeel-"


class Made(NamedTuple):
    """A backup that was made; `lost` are files that rows name and nobody has any more."""

    path: Path
    manifest: Manifest
    lost: list[str]


def make_backup(where: Path, *, passphrase: str = "") -> Made:
    """Make a backup as the file `where`, or within the folder `where` under the name of the moment.

    Files are written before the rows that name them and only removed after those, so a backup of the rows that is
    taken before the files finds them all.
    """
    path = where / _name(passphrase) if where.is_dir() else where
    if not path.parent.is_dir():
        raise BackupError(f"there is no folder {path.parent}")
    with tempfile.TemporaryDirectory(prefix=PREFIX) as scratch, writing(path, passphrase) as archive:
        moment = datetime.now(UTC)
        copy = Path(scratch) / DATABASE
        content = live_database().copy_to(copy)
        with copy.open("rb") as file:
            archive.add(DATABASE, file, copy.stat().st_size)
        absent = media.pack(archive, content.files)
        manifest = Manifest(
            moment.isoformat(timespec="seconds"), version("evenkeel"), content, dict(archive.parts), absent
        )
        archive.finish(manifest)
    return Made(path, manifest, media.lost(absent))


def newest_backup(folder: Path) -> Path:
    """Return the newest of the backups in a folder that were named by the moment."""
    names = [path for path in folder.glob(f"{PREFIX}*") if path.name.endswith((ENDING, ENDING + SEALED))]
    if not names:
        raise BackupError(f"there is no backup in {folder}")
    return max(names, key=lambda path: path.name)


def _name(passphrase: str) -> str:
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    return f"{PREFIX}{stamp}{ENDING}{SEALED if passphrase else ''}"
