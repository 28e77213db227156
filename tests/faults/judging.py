"""What must hold after a kill: all that was acknowledged is there, and nothing is there by half."""

import hashlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import connection

from registry.audio.models import Line, Loudspeaker, Zone
from registry.baselines.models import Baseline, Reading
from registry.equipment.models import Document, Item, Setting
from registry.visits.models import VisitPhoto
from sites.models import Client, HistoryEntry, Receipt, Site
from tests.faults.writing import content_digest

Acks = Iterable[tuple[str, Any]]
WHOLE = {Zone: 2, Line: 2, Loudspeaker: 4, Reading: 2, Item: 1, Setting: 3}


def missing(acks: Acks) -> list[str]:
    """Return the acknowledged writes that aren't there as they were acknowledged."""
    return [f"{kind} {what}" for kind, what in acks if not THERE[kind](what)]


def _file_is(name: str, sha256: str) -> bool:
    return default_storage.exists(name) and hashlib.sha256(default_storage.open(name).read()).hexdigest() == sha256


THERE: dict[str, Any] = {
    "import": lambda code: Site.objects.filter(code=code).exists(),
    "freeze": lambda ack: content_digest(Baseline.objects.get(site__code="acre", number=ack[0]).content) == ack[1],
    "photo": lambda ack: VisitPhoto.objects.filter(image=ack[0]).exists() and _file_is(*ack),
    "document": lambda ack: Document.objects.filter(file=ack[0], sha256=ack[1]).exists() and _file_is(*ack),
    "entry": lambda ack: (
        Receipt.objects.get(key=ack[0]).answer == ack[1]
        and Reading.objects.filter(pk=ack[1]["reading"], spot=ack[0]).exists()
    ),
}


def halves(number: int | None = None) -> list[str]:
    """Return what is there by half, of one run or of all of them."""
    prefix = "k" if number is None else f"k{number}-"
    found = [f"import {site.code}" for site in Site.objects.filter(code__startswith=prefix) if not _is_whole(site)]
    owners = set(Site.objects.filter(code__startswith=prefix).values_list("client__name", flat=True))
    clients = set(Client.objects.filter(name__startswith=prefix).values_list("name", flat=True))
    found += [f"client {name}" for name in clients ^ owners]
    frozen = Baseline.objects.filter(reason__startswith=prefix)
    found += [f"baseline {row.number}" for row in frozen if not row.content.get("zones")]
    found += [f"photo {row.pk}" for row in VisitPhoto.objects.filter(caption__startswith=prefix) if not _opens(row)]
    kept = Document.objects.filter(title__startswith=prefix)
    found += [f"document {row.pk}" for row in kept if not _file_is(row.file.name or "", row.sha256)]
    receipts = set(Receipt.objects.filter(key__startswith=prefix).values_list("key", flat=True))
    readings = list(Reading.objects.filter(spot__startswith=prefix).values_list("spot", flat=True))
    return found + [f"entry {key}" for key in receipts ^ set(readings)] + _twice(readings)


def _is_whole(site: Site) -> bool:
    def of(model: Any) -> int:
        path = {Reading: "zone__site", Setting: "record__place__site"}
        return int(model.objects.filter(**{path.get(model, "site"): site}).count())

    told = HistoryEntry.objects.filter(site=site).exists()
    return told and all(of(model) == number for model, number in WHOLE.items())


def _opens(photo: VisitPhoto) -> bool:
    from PIL import Image

    try:
        with photo.image.open() as file, Image.open(file) as picture:
            picture.load()
            return picture.size == (photo.width, photo.height)
    except OSError:
        return False


def _twice(names: list[str]) -> list[str]:
    return [f"twice: {name}" for name in {name for name in names if names.count(name) > 1}]


def files() -> set[str]:
    """Return the files of photos and documents that are on the disk."""
    root = Path(settings.MEDIA_ROOT)
    return {str(path.relative_to(root)) for path in root.rglob("*") if path.is_file()}


def faults_of_the_file() -> list[str]:
    """Return what SQLite finds wrong with its own file; PostgreSQL checks its pages by itself."""
    if connection.vendor != "sqlite":
        return []
    with connection.cursor() as cursor:
        says = [row[0] for row in cursor.execute("PRAGMA integrity_check").fetchall()]
        return [str(word) for word in says if word != "ok"] + [
            str(row) for row in cursor.execute("PRAGMA foreign_key_check").fetchall()
        ]
