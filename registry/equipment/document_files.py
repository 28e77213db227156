"""What may be kept as a document: a known kind of file, no larger than it should be, and without a secret in it."""

import io
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Final

from sites.photos import clean_photo
from sites.put import RefusedError, refuse
from sites.secret_scan import secrets_in

MOST_BYTES: Final = 25 * 1024 * 1024
MOST_UNPACKED: Final = 64 * 1024 * 1024
MOST_MEMBERS: Final = 500
MOST_TOLD: Final = 10
LONGEST_NAME: Final = 100
TEXTS: Final = frozenset(["txt", "csv", "tsv", "json", "xml", "ini", "yaml", "yml", "md", "log", "dxf"])
# Devices export these as text or as something only they can read.
EXPORTS: Final = frozenset(["cfg", "conf", "bin", "dat", "bak", "backup"])
PHOTOS: Final = frozenset(["jpg", "jpeg", "png", "webp"])
# How the other kinds begin, whatever the file is called.
BEGINNINGS: Final = {"pdf": b"%PDF-", "dwg": b"AC10", "gz": b"\x1f\x8b", "tgz": b"\x1f\x8b", "zip": b"PK"}
ENDINGS: Final = tuple(sorted(TEXTS | EXPORTS | PHOTOS | BEGINNINGS.keys()))
TABLES: Final = frozenset(["csv", "tsv"])
MARKS: Final = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16", b"\xef\xbb\xbf": "utf-8-sig"}


@dataclass(frozen=True, slots=True)
class CheckedFile:
    """What will be kept, under which name, and whether all of it could be read for secrets."""

    name: str
    data: bytes
    was_read: bool


class _UnreadableError(ValueError):
    """Raised inside for what is no text."""


def check_file(name: str, content: bytes) -> CheckedFile:
    """Return what of a file will be kept: a photo is drawn anew, everything else stays as it was sent.

    Raises RefusedError: unknown kind, too large, not what its name says, or a secret in it, named by line.
    """
    name = _plain_name(name)
    ending = _ending(name)
    if ending not in ENDINGS:
        raise _refused(name, f"one of these kinds of file: {', '.join(ENDINGS)}")
    if not content:
        raise _refused(name, "the file is empty")
    if len(content) > MOST_BYTES:
        raise _refused(name, f"a file of at most {MOST_BYTES // 2**20} MB")
    if ending in PHOTOS:
        return _photo(name, content)
    beginning = BEGINNINGS.get(ending, b"")
    if not content[:1024].lstrip().startswith(beginning):
        raise _refused(name, f"this is no {ending.upper()} file, whatever its name says")
    return CheckedFile(name, content, was_read=_read_for_secrets(name, ending, content))


def _plain_name(name: str) -> str:
    """Return the last part of a path, without what a header or a file system trips over."""
    last = PurePosixPath(name.replace("\\", "/")).name
    plain = "".join(sign if sign.isalnum() or sign in " ._-()+" else "_" for sign in last).strip(" .")
    stem, dot, ending = plain.rpartition(".")
    return f"{(stem or 'document')[:LONGEST_NAME]}{dot}{ending[:10]}"


def _ending(name: str) -> str:
    return name.rpartition(".")[2].lower() if "." in name else ""


def _photo(name: str, content: bytes) -> CheckedFile:
    try:
        return CheckedFile(f"{name.rpartition('.')[0]}.jpg", clean_photo(content).data, was_read=False)
    except ValueError as error:
        raise _refused(name, str(error)) from error


def _read_for_secrets(name: str, ending: str, content: bytes) -> bool:
    """Return whether all of it could be read; refuse it when it holds a secret."""
    if ending == "zip":
        return _read_zip(name, content)
    if ending in BEGINNINGS:
        return False
    try:
        text = _text(content)
    except _UnreadableError:
        if ending in EXPORTS:
            return False
        raise _refused(name, f"this is no {ending.upper()} file, but something only a program can read") from None
    _refuse_secrets(name, name, text)
    return True


def _text(content: bytes) -> str:
    try:
        encoding = next((word for mark, word in MARKS.items() if content.startswith(mark)), "utf-8")
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text = content.decode("latin-1")  # an older device's; it never fails, so the signs decide
    odd = sum(sign < " " and sign not in "\t\n\r\f\x1b" for sign in text[:100_000])
    if "\x00" in text or odd > len(text[:100_000]) * 0.01:
        raise _UnreadableError
    return text


def _refuse_secrets(name: str, shown: str, text: str) -> None:
    found = secrets_in(text, table=_ending(shown) in TABLES)
    if found:
        lines = "; ".join(f"{shown}, {each}" for each in found[:MOST_TOLD])
        more = f" and {len(found) - MOST_TOLD} more" if len(found) > MOST_TOLD else ""
        says = "Replace each by **** in a copy, send that, and record where the secret is kept."
        raise _refused(name, f"this looks like a secret: {lines}{more}. {says}")


def _read_zip(name: str, content: bytes) -> bool:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            # All of them are read, also those behind one that can't be.
            were_read = [_read_member(name, member, data) for member, data in _members(name, archive)]
            return all(were_read)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, OSError, EOFError, RuntimeError) as error:
        raise _refused(name, "a zip that opens whole and without a password") from error


def _members(name: str, archive: zipfile.ZipFile) -> Iterator[tuple[str, bytes]]:
    entries = [entry for entry in archive.infolist() if not entry.is_dir()]
    if len(entries) > MOST_MEMBERS:
        raise _refused(name, f"a zip of at most {MOST_MEMBERS} files")
    left = MOST_UNPACKED
    for entry in entries:
        with archive.open(entry) as member:
            # What the zip says of its sizes may be a lie: only as much is unpacked as may be kept.
            data = member.read(left + 1)
        left -= len(data)
        if left < 0:
            raise _refused(name, f"a zip of at most {MOST_UNPACKED // 2**20} MB when it is unpacked")
        yield entry.filename, data


def _read_member(name: str, member: str, data: bytes) -> bool:
    try:
        text = _text(data)
    except _UnreadableError:
        return False
    if data.startswith((b"PK", b"%PDF-", b"\x1f\x8b")):
        return False
    _refuse_secrets(name, f"{name} › {member}", text)
    return True


def _refused(name: str, says: str) -> RefusedError:
    return refuse("document", (name,), "file", says)
