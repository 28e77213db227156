"""Writes of photos and parts at a visit: kept once; a part that was noted wrongly is corrected by a new row."""

from datetime import datetime

from django.db import transaction

from registry.equipment.models import MakeModel
from registry.visits.models import Finding, PartUsed, Visit, VisitPhoto
from registry.visits.under_way import happened, under_way
from sites.models import User
from sites.no_secrets import refuse_secrets_in
from sites.photos import clean_photo
from sites.put import refuse
from sites.with_file import save_with_file

MOST_PHOTOS = 60
MOST_OF_A_PART = 10_000


@transaction.atomic
def add_visit_photo(
    *,
    by: User,
    visit: Visit,
    data: bytes,
    caption: str = "",
    finding: Finding | None = None,
    at: datetime | None = None,
) -> VisitPhoto:
    """Keep a photo of a visit or of a finding, drawn anew without metadata.

    Raises ValueError when the visit is not under way or has too many, the finding is elsewhere, or it is no photo.
    """
    visit = under_way(visit)
    if finding is not None and finding.site_id != visit.site_id:
        raise ValueError("this finding is of another site")
    if visit.photos.count() >= MOST_PHOTOS:
        raise ValueError(f"this visit has {MOST_PHOTOS} photos: that is enough for a report")
    clean = clean_photo(data)
    photo = VisitPhoto(visit=visit, finding=finding, width=clean.width, height=clean.height)
    photo.caption, photo.taken_by, photo.taken_at = caption.strip()[:200], by, happened(at, visit)
    save_with_file(photo, "image", clean.data, ending=".jpg")
    return photo


@transaction.atomic
def use_part(
    *,
    by: User,
    visit: Visit,
    what: str,
    quantity: int = 1,
    make_model: MakeModel | None = None,
    at: datetime | None = None,
) -> PartUsed:
    """Note something that was fitted or used up."""
    visit = under_way(visit)
    if quantity < 1:
        raise refuse("part", (what,), "quantity", "Give how many were used, 1 or more.")
    return _part(PartUsed(visit=visit, what=what, quantity=quantity, make_model=make_model), by, happened(at, visit))


@transaction.atomic
def correct_part(
    *,
    by: User,
    part: PartUsed,
    what: str,
    quantity: int,
    make_model: MakeModel | None = None,
    at: datetime | None = None,
) -> PartUsed:
    """Note what a part should have been; quantity 0 takes it out. The wrong row stays readable.

    Raises ValueError when the visit is closed, or somebody corrected the part already.
    """
    visit = under_way(part.visit)
    if (newer := PartUsed.objects.select_related("recorded_by").filter(replaces=part).first()) is not None:
        raise ValueError(f"{newer.recorded_by} corrected this part already ({newer}): correct that one")
    row = PartUsed(visit=visit, what=what, quantity=quantity, make_model=make_model, replaces=part)
    return _part(row, by, happened(at, visit))


def _part(part: PartUsed, by: User, at: datetime) -> PartUsed:
    part.what, part.recorded_by, part.used_at = part.what.strip(), by, at
    if not part.what:
        raise refuse("part", (part.what,), "what", "Say what it was.")
    if not 0 <= part.quantity <= MOST_OF_A_PART:
        raise refuse("part", (part.what,), "quantity", f"Give at most {MOST_OF_A_PART}.")
    refuse_secrets_in(part)
    part.clean_fields(exclude=["visit", "make_model", "recorded_by", "replaces"])
    part.save()
    return part
