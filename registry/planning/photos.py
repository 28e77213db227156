"""Photos of spots: kept outside the static files, under names of ours."""

from django.db import transaction
from django.utils import timezone

from registry.audio.models import Zone
from registry.planning.answers import offered, working
from registry.planning.models import Commissioning, SpotPhoto
from registry.planning.sequence import Subject
from sites.models import User
from sites.photos import clean_photo
from sites.with_file import save_with_file


@transaction.atomic
def add_photo(*, by: User, commissioning: Commissioning, zone: Zone, data: bytes) -> SpotPhoto:
    """Keep a photo of a zone's spot."""
    commissioning = working(commissioning)
    offered(commissioning, Subject.ZONE, zone.pk, "spot")
    clean = clean_photo(data)
    photo = SpotPhoto(zone=zone, width=clean.width, height=clean.height, spot=zone.spot)
    photo.taken_by, photo.taken_at = by, timezone.now()
    save_with_file(photo, "image", clean.data, ending=".jpg")
    return photo


@transaction.atomic
def remove_photo(*, by: User, photo: SpotPhoto) -> None:
    """Remove a photo for good, from the register and from the disk; its history says who did."""
    storage, name = photo.image.storage, photo.image.name or ""
    photo._history_user = by  # type: ignore[attr-defined]
    photo.delete()
    transaction.on_commit(lambda: storage.delete(name))
