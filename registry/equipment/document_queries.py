"""Reads of documents and of where secrets are kept."""

from typing import NamedTuple

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from registry.equipment.models import Document, Place, SecretReference, Withdrawal
from sites.models import Site, User
from sites.queries import at_sites_of


class SiteDocuments(NamedTuple):
    """The documents of a site: those that hold, those that a newer one replaced, and the withdrawn ones."""

    current: list[Document]
    earlier: list[Document]
    withdrawn: list[Document]


def _works_here(user: User | AnonymousUser) -> bool:
    return isinstance(user, User) and user.may_write


def documents_visible_to(user: User | AnonymousUser) -> QuerySet[Document]:
    """Return the documents that `user` may read: an owner those that are meant for them and not withdrawn."""
    documents = Document.objects.filter(at_sites_of(user)).select_related("site__client", "place")
    return documents if _works_here(user) else documents.filter(for_owner=True, withdrawals__isnull=True)


def current_documents(user: User | AnonymousUser) -> QuerySet[Document]:
    """Return the documents that hold now: not withdrawn, and not replaced by one that holds."""
    holding = Document.objects.filter(withdrawals__isnull=True, replaces__isnull=False)
    documents = documents_visible_to(user).filter(withdrawals__isnull=True)
    return documents.exclude(pk__in=holding.values("replaces"))


def documents_of_site(user: User | AnonymousUser, site: Site) -> SiteDocuments:
    """Return all documents of a site that `user` may read; for an owner only those that hold now."""
    current = list(current_documents(user).filter(site=site).select_related("uploaded_by"))
    if not _works_here(user):
        return SiteDocuments(current, [], [])
    held = {document.pk for document in current}
    rest = documents_visible_to(user).filter(site=site).exclude(pk__in=held).select_related("uploaded_by")
    others = list(rest.prefetch_related("withdrawals__recorded_by"))
    earlier = [document for document in others if not document.withdrawals.all()]
    return SiteDocuments(current, earlier, [document for document in others if document.withdrawals.all()])


def documents_of_place(user: User | AnonymousUser, place: Place) -> list[Document]:
    """Return the documents of a place that hold now."""
    return list(current_documents(user).filter(place=place))


def is_purged(document: Document) -> bool:
    """Return whether the content was removed."""
    return Withdrawal.objects.filter(document=document, purged=True).exists()


def purged_files() -> set[str]:
    """Return the names of the files whose content was removed."""
    return set(Withdrawal.objects.filter(purged=True).values_list("document__file", flat=True))


def references_visible_to(user: User | AnonymousUser) -> QuerySet[SecretReference]:
    """Return where secrets are kept, for those who write only: it tells where to look for them."""
    references = SecretReference.objects.filter(at_sites_of(user)).select_related("site__client")
    return references if _works_here(user) else references.none()
