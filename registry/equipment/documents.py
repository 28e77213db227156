"""Documents go in once. A new version names the one before; one that is withdrawn keeps its row and its hash."""

import hashlib
from typing import Any, NamedTuple

from django.core.exceptions import PermissionDenied
from django.db import transaction

from registry.equipment.document_files import check_file
from registry.equipment.models import Document, Place, Withdrawal
from sites.models import Role, Site, User
from sites.put import refuse
from sites.with_file import save_with_file

LOOK = "the register can't read this kind of file: look through it for passwords, keys and codes, then say that you did"


class Sent(NamedTuple):
    """A file as it came: its name and its bytes."""

    name: str
    content: bytes


@transaction.atomic
def add_document(
    *, by: User | None, site: Site, sent: Sent, values: dict[str, Any], replaces: Document | None = None
) -> Document:
    """Keep a document of a site or of one of its places, after it was read for secrets; `values` by column.

    What can't be read needs the word of who sends it (`looked_through`). Raises RefusedError for everything else.
    """
    checked = check_file(sent.name, sent.content)
    place: Place | None = values.get("place")
    if place is not None and place.site_id != site.pk:
        raise refuse("document", (sent.name,), "place", f"place {place} belongs to another site")
    if not checked.was_read and not values.get("looked_through"):
        raise refuse("document", (sent.name,), "looked_through", LOOK)
    document = Document(site=site, uploaded_by=by, name=checked.name, size=len(checked.data), **values)
    document.looked_through = not checked.was_read
    document.sha256 = hashlib.sha256(checked.data).hexdigest()
    document.replaces = _newest_version(replaces) if replaces else None
    _refuse_known(document)
    save_with_file(document, "file", checked.data)
    return document


def _newest_version(document: Document) -> Document:
    newer = Document.objects.filter(replaces=document).first()
    return _newest_version(newer) if newer else document


def _refuse_known(document: Document) -> None:
    same = Document.objects.filter(site=document.site, place=document.place, sha256=document.sha256)
    if known := same.filter(withdrawals__isnull=True).first():
        says = f"this very file is here already, as {known.title!r}, sent on {known.uploaded_at:%Y-%m-%d}"
        raise refuse("document", (document.name,), "file", says)


@transaction.atomic
def withdraw_document(*, by: User, document: Document, reason: str) -> Withdrawal:
    """Hide a document from the lists, with the reason; row and file stay."""
    if document.withdrawals.exists():
        raise ValueError("this document was withdrawn already")
    return Withdrawal.objects.create(document=document, reason=reason, recorded_by=by)


@transaction.atomic
def purge_document(*, by: User, document: Document, reason: str) -> Withdrawal:
    """Remove the content of a document for good, where a secret slipped in; row, hash and reason stay."""
    if by.role != Role.MANAGER:
        raise PermissionDenied("A manager removes the content of a document.")
    if document.withdrawals.filter(purged=True).exists():
        raise ValueError("the content of this document was removed already")
    made = Withdrawal.objects.create(document=document, reason=reason, purged=True, recorded_by=by)
    storage, name = document.file.storage, document.file.name or ""
    transaction.on_commit(lambda: storage.delete(name))
    return made
