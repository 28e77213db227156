"""Pages of documents: all of a site, one more, a new version, the file itself, withdrawn, content removed."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponseBase
from django.shortcuts import redirect, render

from registry.equipment.document_queries import documents_visible_to, is_purged
from registry.equipment.documents import add_document, purge_document, withdraw_document
from registry.equipment.models import Document, DocumentKind
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import site_crumbs
from registry.web.documents.documents_page import documents_crumbs, documents_page, download
from registry.web.documents.forms import DocumentForm, WithdrawForm
from registry.web.fresh import fresh_sign_in_required
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.models import Role, Site
from sites.queries import sites_visible_to


def site_documents(request: SignedIn, code: str) -> HttpResponseBase:
    """List the documents of a site, and where its secrets are kept."""
    site = visible(sites_visible_to(request.user), code=code)
    context = {"site": site, "crumbs": site_crumbs(site), **documents_page(request.user, site)}
    context["may_purge"] = request.user.role == Role.MANAGER
    return render(request, "documents/site_documents.html", context)


def document_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Keep a document."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    return _add(request, site, None, {"place": request.GET.get("place")})


def document_new_version(request: SignedIn, pk: int) -> HttpResponseBase:
    """Keep a newer version of a document; the one before stays readable."""
    found = changeable(request, documents_visible_to(request.user), pk=pk)
    start = {"title": found.title, "kind": found.kind, "place": found.place_id, "for_owner": found.for_owner}
    return _add(request, found.site, found, start)


def _add(request: SignedIn, site: Site, before: Document | None, start: dict[str, Any]) -> HttpResponseBase:
    form = DocumentForm(typed(request), request.FILES or None, site=site, initial=start)

    def keep() -> Document:
        values = form.values(without=("file",))
        return add_document(by=request.user, site=site, sent=form.sent(), values=values, replaces=before)

    if made := saved(form, keep):
        messages.success(request, f"{made.name} is kept.{_look_again(made)}")
        return redirect("site-documents", site.code)
    heading = f"New version of {before}" if before else f"New document of {site}"
    answer = "A document is kept as it is sent, with its hash; a later one replaces it without removing it."
    if form.errors and "file" not in form.errors:
        answer += " Choose the file once more: browsers forget it."
    return form_page(request, form, heading=heading, answer=answer, crumbs=documents_crumbs(site), save="Keep it")


def _look_again(document: Document) -> str:
    if document.kind == DocumentKind.CONFIGURATION and document.for_owner:
        return " The owner may read this configuration: is that meant?"
    return ""


def document_file(request: SignedIn, pk: int) -> HttpResponseBase:
    """Return the file itself, to be saved."""
    found = visible(documents_visible_to(request.user), pk=pk)
    if is_purged(found):
        raise Http404("the content of this document was removed")
    try:
        return download(found)
    except FileNotFoundError as error:
        raise Http404("the file is no longer in the storage") from error


def document_withdraw(request: SignedIn, pk: int) -> HttpResponseBase:
    """Ask why, then hide a document from the lists."""
    found = changeable(request, documents_visible_to(request.user), pk=pk)
    answer = "It leaves the lists and nobody's owner sees it any more. The file, its hash and the reason stay."
    return _end(request, found, withdraw_document, heading=f"Withdraw {found}", answer=answer, done="withdrawn")


@fresh_sign_in_required
def document_purge(request: SignedIn, pk: int) -> HttpResponseBase:
    """Ask why, then remove the content of a document for good; a manager's act."""
    found = changeable(request, documents_visible_to(request.user), pk=pk)
    if request.user.role != Role.MANAGER:
        raise PermissionDenied("A manager removes the content of a document.")
    answer = (
        "For a secret that slipped in: the file goes for good, its name, hash and the reason stay. Copies in backups"
        " stay too, so change the secret at the device as well."
    )
    return _end(request, found, purge_document, heading=f"Remove the content of {found}", answer=answer, done="removed")


def _end(request: SignedIn, found: Document, action: Any, *, heading: str, answer: str, done: str) -> HttpResponseBase:
    form = WithdrawForm(typed(request))
    if saved(form, lambda: action(by=request.user, document=found, reason=form.cleaned_data["reason"])):
        messages.success(request, f"{found.name} is {done}.")
        return redirect("site-documents", found.site.code)
    crumbs = documents_crumbs(found.site)
    return form_page(request, form, heading=heading, answer=answer, crumbs=crumbs, save=heading.split(" ")[0])
