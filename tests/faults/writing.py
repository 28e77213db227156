"""The writes of the process that is killed. Each is told as begun, and as acknowledged once its action returned."""

import hashlib
import io
import json
import os
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from django.db import connections
from django.utils import timezone
from PIL import Image

from registry.audio.models import Zone
from registry.baselines.actions import freeze_baseline, record_readings
from registry.demo.factories import UserFactory
from registry.demo.factories.visits import VisitFactory
from registry.equipment.documents import Sent, add_document
from registry.exchange.importing import import_survey
from registry.visits.keeping import add_visit_photo
from registry.visits.models import Visit
from sites.models import Role, Site, User
from sites.put import Batch
from sites.receipts import once
from tests.exchange.small_survey import SMALL

FIRST = datetime(2026, 1, 1, tzinfo=UTC)


def prepare() -> None:
    """Lay out what the writes are about."""
    UserFactory(username="killed", role=Role.MANAGER)
    import_survey({name: text.encode() for name, text in SMALL.items()}, by=None)


def work(number: int, out: int) -> None:
    """Write until killed; `out` is where it is told."""
    connections.close_all()
    by, visit = User.objects.get(username="killed"), VisitFactory(site=Site.objects.get(code="acre"))
    Visit.objects.filter(pk=visit.pk).update(begun_at=timezone.now())
    chance = random.Random(number)
    _tell(out, "ready", "", None)
    for step in count():
        kind = chance.choice(list(WRITES))
        name = f"k{number}-{step}"
        _tell(out, "begun", kind, name)
        _tell(out, "acknowledged", kind, WRITES[kind](name, by, visit))


def _tell(out: int, word: str, kind: str, what: Any) -> None:
    os.write(out, json.dumps([word, kind, what]).encode() + b"\n")


def _import(name: str, by: User, visit: Visit) -> Any:
    """A survey of a client and site of its own."""
    new = {"acre,": f"{name},", "Green Acre Ltd": f"{name} Ltd", "S100": f"S{name}", "02-00-5E-10-00-01": ""}
    renamed = dict(SMALL)
    for old, word in new.items():
        renamed = {file: text.replace(old, word) for file, text in renamed.items()}
    import_survey({file: text.encode() for file, text in renamed.items()}, by=by)
    return name


def _freeze(name: str, by: User, visit: Visit) -> Any:
    baseline = freeze_baseline(by=by, site=visit.site, reason=name, with_exceptions=True)
    return [baseline.number, content_digest(baseline.content)]


def content_digest(content: Any) -> str:
    """Return the digest of a baseline's content."""
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def _photo(name: str, by: User, visit: Visit) -> Any:
    sent = io.BytesIO()
    Image.effect_noise((400, 300), 90).save(sent, "JPEG")
    photo = add_visit_photo(by=by, visit=visit, data=sent.getvalue(), caption=name)
    with photo.image.open() as file:
        return [photo.image.name, hashlib.sha256(file.read()).hexdigest()]


def _document(name: str, by: User, visit: Visit) -> Any:
    content = f"{name}\n".encode() * 20_000
    values = {"title": name, "kind": "manual"}
    document = add_document(by=by, site=visit.site, sent=Sent("notes.txt", content), values=values)
    return [document.file.name, document.sha256]


def _entry(name: str, by: User, visit: Visit) -> Any:
    """A reading that a phone kept offline, sent with a key of its own."""
    return [name, send_entry(name, by).answer]


def send_entry(name: str, by: User) -> Any:
    """Send it, for the first time or again."""
    run, step = (int(part) for part in name[1:].split("-"))
    zone = Zone.objects.get(site__code="acre", name="Shop")
    key = {"zone_id": zone.pk, "state": "as left", "taken_at": taken_at(run, step)}
    rows = {tuple(key.values()): key | {"level_db": 60 + step % 9, "spot": name, "dial": 50}}

    def record() -> Any:
        (reading,) = record_readings(Batch(by=by), rows).values()
        return {"reading": reading.pk}

    return once(by=by, key=name, digest=name, action=record)


def taken_at(run: int, step: int) -> datetime:
    """Return a moment of its own for each reading."""
    return FIRST + timedelta(hours=run, seconds=step)


WRITES: dict[str, Callable[[str, User, Visit], Any]] = {
    "import": _import,
    "freeze": _freeze,
    "photo": _photo,
    "document": _document,
    "entry": _entry,
}
