"""Surveys and network sweeps that wait for their confirmation: one zip per person and content, for a day at most.

They wait in the storage of the media: who confirms may be answered by another worker, on another machine.
"""

import io
import zipfile
from collections.abc import Mapping
from datetime import timedelta
from hashlib import sha256
from typing import Final

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from registry.exchange.folder import SurveyRefusedError, files_of_zip
from sites.models import User

FOLDER: Final = "waiting"
KEPT: Final = timedelta(days=1)
DIGEST_LENGTH: Final = 32


def keep(user: User, files: Mapping[str, bytes]) -> str:
    """Keep a person's upload and return the word by which they find it again; what is older than a day goes."""
    forget_old_uploads()
    packed = _packed(files)
    digest = sha256(packed).hexdigest()[:DIGEST_LENGTH]
    # Removed first: it waits from now on, and storages keep what is there under its name.
    forget(user, digest)
    default_storage.save(_name(user, digest), ContentFile(packed))
    return digest


def kept(user: User, digest: str) -> dict[str, bytes] | None:
    """Return the files that this person uploaded, or None when they are gone, too old or not theirs."""
    name = _name(user, digest)
    if not _waits(name):
        return None
    try:
        with default_storage.open(name) as file:
            return files_of_zip(file.read(), most_bytes=settings.SURVEY_MAX_BYTES, ending="")
    except (FileNotFoundError, SurveyRefusedError):
        return None


def forget(user: User, digest: str) -> None:
    """Drop an upload that was imported or given up."""
    default_storage.delete(_name(user, digest))


def forget_old_uploads() -> int:
    """Drop all that waited for too long, and return how many that were."""
    try:
        names = [f"{FOLDER}/{name}" for name in default_storage.listdir(FOLDER)[1]]
    except FileNotFoundError:
        return 0
    old = [name for name in names if not _waits(name)]
    for name in old:
        default_storage.delete(name)
    return len(old)


def _waits(name: str) -> bool:
    """Return whether a file is there and young enough."""
    try:
        return default_storage.exists(name) and default_storage.get_modified_time(name) > timezone.now() - KEPT
    except FileNotFoundError:  # dropped by somebody else since the line above
        return False


def _name(user: User, digest: str) -> str:
    """The name is made of a number and hex digits only, whatever the address says."""
    plain = digest if len(digest) == DIGEST_LENGTH and set(digest) <= set("0123456789abcdef") else "none"
    return f"{FOLDER}/{user.pk}-{plain}.zip"


def _packed(files: Mapping[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            # A fixed date: the same survey is the same file.
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), files[name], zipfile.ZIP_DEFLATED)
    return packed.getvalue()
