"""The file of a backup: a gzipped tar of `database`, `media/…` and `manifest.json`; sealed when there is a passphrase.

Any tool that opens .tar.gz opens one that isn't sealed. Written under a name of its own, forced to the disk, then
renamed: a file under the final name is whole.
"""

import gzip
import hashlib
import io
import os
import tarfile
import zlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import IO, BinaryIO, Final

from registry.backups.errors import BackupError
from registry.backups.manifest import Manifest, Part
from registry.backups.sealing import SealedReader, SealedWriter, is_sealed
from sites.durable_files import force_to_disk

DATABASE: Final = "database"
MEDIA: Final = "media/"
MANIFEST: Final = "manifest.json"
PIECE: Final = 1024 * 1024
DAMAGED: Final = (gzip.BadGzipFile, zlib.error, tarfile.TarError, EOFError, UnicodeDecodeError)


class ArchiveWriter:
    """Puts parts into a backup, one after the other, and notes the digest of each."""

    def __init__(self, tar: tarfile.TarFile) -> None:
        self._tar = tar
        self.parts: dict[str, Part] = {}

    def add(self, name: str, source: IO[bytes], size: int) -> None:
        """Put a file into the backup as it is read."""
        entry = tarfile.TarInfo(name)
        entry.size = size
        counted = Counted(source)
        self._tar.addfile(entry, counted)
        self.parts[name] = Part(size, counted.sha256)

    def finish(self, manifest: Manifest) -> None:
        """Put the list of contents at the end."""
        text = manifest.to_json()
        self.add(MANIFEST, io.BytesIO(text), len(text))


class Counted:
    """Reads a file and makes its digest on the way."""

    def __init__(self, source: IO[bytes]) -> None:
        self._source, self._digest = source, hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        """Read on."""
        data = self._source.read(size)
        self._digest.update(data)
        return data

    @property
    def sha256(self) -> str:
        """The digest of what was read so far."""
        return self._digest.hexdigest()


@contextmanager
def writing(path: Path, passphrase: str) -> Iterator[ArchiveWriter]:
    """Write a backup. When anything fails, nothing is left behind."""
    if path.exists():
        raise BackupError(f"{path} is there already: a backup never replaces another one")
    partial = path.with_name(f".{path.name}.{os.getpid()}.partial")
    try:
        with os.fdopen(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            with ExitStack() as stack:
                sink: BinaryIO = file
                if passphrase:
                    sink = stack.enter_context(SealedWriter(file, passphrase))  # type: ignore[assignment]
                packed = stack.enter_context(gzip.GzipFile(fileobj=sink, mode="wb", compresslevel=1, filename=""))
                yield ArchiveWriter(stack.enter_context(tarfile.open(fileobj=packed, mode="w|")))
            file.flush()
            os.fsync(file.fileno())
        partial.rename(path)
        force_to_disk(path)
    finally:
        partial.unlink(missing_ok=True)


def unpacked(path: Path, passphrase: str, scratch: Path) -> tuple[Manifest, dict[str, Path]]:
    """Unpack a backup into `scratch` and check every part; return its contents and where each part lies.

    Raises BackupError when it is damaged, cut off, altered, of a newer version, or the passphrase is wrong.
    """
    try:
        with path.open("rb") as file:
            places, found = _parts(_opened(file, passphrase), scratch)
    except DAMAGED as error:
        raise BackupError(f"{path.name} is damaged, cut off or no backup ({error}): take another one") from error
    if MANIFEST not in places:
        raise BackupError(f"{path.name} has no list of contents: it is damaged or no backup; take another one")
    manifest = Manifest.from_json(places.pop(MANIFEST).read_bytes())
    found.pop(MANIFEST)
    if wrong := sorted(name for name in {*found, *manifest.parts} if found.get(name) != manifest.parts.get(name)):
        raise BackupError(f"{path.name} was altered or is damaged, at {', '.join(wrong[:5])}: take another one")
    return manifest, places


def _opened(file: BinaryIO, passphrase: str) -> BinaryIO:
    if not is_sealed(file):
        return file
    if not passphrase:
        raise BackupError(
            "this backup is sealed: give its passphrase by --passphrase-file or EVENKEEL_BACKUP_PASSPHRASE"
        )
    sealed: io.RawIOBase = SealedReader(file, passphrase)
    return io.BufferedReader(sealed)


def _parts(source: BinaryIO, scratch: Path) -> tuple[dict[str, Path], dict[str, Part]]:
    places: dict[str, Path] = {}
    parts: dict[str, Part] = {}
    with gzip.GzipFile(fileobj=source) as packed:
        with tarfile.open(fileobj=packed, mode="r|") as tar:
            for number, entry in enumerate(tar):
                content = tar.extractfile(entry) if entry.isreg() else None
                if content is None or entry.name in parts:
                    raise BackupError(f"{entry.name} can't be in a backup: take another one")
                # Numbers, not names: what a backup calls its parts never becomes a path.
                places[entry.name] = scratch / str(number)
                parts[entry.name] = _written(content, places[entry.name])
        while packed.read(PIECE):  # to the very end, where the last checksum and the last seal are
            pass
    return places, parts


def _written(content: IO[bytes], path: Path) -> Part:
    counted = Counted(content)
    with path.open("xb") as file:
        while data := counted.read(PIECE):
            file.write(data)
    return Part(path.stat().st_size, counted.sha256)
