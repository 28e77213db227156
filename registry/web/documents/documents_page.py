"""What the page of a site's documents shows, and the short lists on the pages of sites and places."""

from typing import Any

from django.http import FileResponse
from django.urls import reverse

from registry.equipment.document_queries import current_documents, documents_of_site, references_visible_to
from registry.equipment.models import Document
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.sites.sentences import number_of
from sites.models import Site, User

SHORT = 5
TYPES = {"pdf": "application/pdf", "jpg": "image/jpeg", "zip": "application/zip"}
# Whatever a browser takes the file for, it saves it and runs nothing.
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; sandbox",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "private, no-store",
}


def documents_page(user: User, site: Site) -> dict[str, Any]:
    """Return the context of the page of all documents."""
    documents = documents_of_site(user, site)
    references = list(references_visible_to(user).filter(site=site))
    said = [number_of(len(documents.current), "document")] if documents.current else []
    said += [number_of(len(references), "reference") + " to secrets"] if references else []
    return {"documents": documents, "references": references, "sentence": " and ".join(said)}


def short_lists(user: User, site: Site) -> dict[str, Any]:
    """Return the newest documents and the references of a site. Two queries."""
    newest = list(current_documents(user).filter(site=site).order_by("-uploaded_at", "-pk")[: SHORT + 1])
    return {
        "newest": newest[:SHORT],
        "more": len(newest) > SHORT,
        "references": list(references_visible_to(user).filter(site=site)),
    }


def documents_crumbs(site: Site) -> Crumbs:
    """Return the way down to a site's documents."""
    return [*site_crumbs(site), ("Documents", reverse("site-documents", args=[site.code]))]


def download(document: Document) -> FileResponse:
    """Return the file to be saved, never shown in place. Raises FileNotFoundError when the storage has it no more."""
    ending = document.name.rpartition(".")[2].lower()
    file = document.file.open("rb")
    kind = TYPES.get(ending, "application/octet-stream")
    return FileResponse(file, as_attachment=True, filename=document.name, content_type=kind, headers=HEADERS)
