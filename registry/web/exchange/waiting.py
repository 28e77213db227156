"""Surveys that wait for their confirmation: one zip per person and content, for a day at most."""

import io
import os
import time
import zipfile
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path

from django.conf import settings

from registry.exchange.folder import SurveyRefusedError, files_of_zip
from sites.models import User

KEPT_SECONDS = 24 * 3600
DIGEST_LENGTH = 32


def keep(user: User, files: Mapping[str, bytes]) -> str:
    """Keep a person's survey and return the word by which they find it again; what is older than a day goes."""
    folder = _folder()
    folder.mkdir(parents=True, exist_ok=True)
    _forget_old(folder)
    packed = _packed(files)
    digest = sha256(packed).hexdigest()[:DIGEST_LENGTH]
    # Written beside and moved, so that nobody reads half a file.
    part = folder / f"{user.pk}-{digest}.{os.getpid()}.part"
    part.write_bytes(packed)
    part.replace(_path(user, digest))
    return digest


def kept(user: User, digest: str) -> dict[str, bytes] | None:
    """Return the files that this person uploaded, or None when they are gone, too old or not theirs."""
    path = _path(user, digest)
    try:
        if path.stat().st_mtime < time.time() - KEPT_SECONDS:
            return None
        return files_of_zip(path.read_bytes(), most_bytes=settings.SURVEY_MAX_BYTES)
    except (FileNotFoundError, SurveyRefusedError):
        return None


def forget(user: User, digest: str) -> None:
    """Drop a survey that was imported or given up."""
    _path(user, digest).unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.STATE_DIR) / "surveys"


def _path(user: User, digest: str) -> Path:
    """The name is made of a number and hex digits only, whatever the address says."""
    plain = digest if len(digest) == DIGEST_LENGTH and set(digest) <= set("0123456789abcdef") else "none"
    return _folder() / f"{user.pk}-{plain}.zip"


def _packed(files: Mapping[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            # A fixed date: the same survey is the same file.
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), files[name], zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _forget_old(folder: Path) -> None:
    oldest = time.time() - KEPT_SECONDS
    for path in folder.iterdir():
        if path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
