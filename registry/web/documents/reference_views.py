"""Pages of where secrets are kept: one more, changed, removed."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.equipment.document_queries import references_visible_to
from registry.equipment.secret_references import remove_reference, save_reference
from registry.web.access import SignedIn, changeable
from registry.web.documents.documents_page import documents_crumbs
from registry.web.documents.forms import ReferenceForm
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.queries import sites_visible_to

ANSWER = "Where a secret is kept and who may ask for it: whoever stands in the basement knows whom to call."


def reference_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record where a secret is kept."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = ReferenceForm(typed(request))
    if made := saved(form, lambda: save_reference(by=request.user, site=site, reference=None, values=form.values())):
        messages.success(request, f"It is recorded where the secret of {made} is kept.")
        return redirect("site-documents", site.code)
    crumbs = documents_crumbs(site)
    return form_page(request, form, heading="Where a secret is kept", answer=ANSWER, crumbs=crumbs, save="Record it")


def reference_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change where a secret is kept."""
    found = changeable(request, references_visible_to(request.user), pk=pk)
    form = ReferenceForm(typed(request), instance=found)
    if made := saved(form, lambda: save_reference(by=request.user, site=found.site, reference=found, **form.edited())):
        messages.success(request, f"{made} is saved.")
        return redirect("site-documents", found.site.code)
    crumbs = documents_crumbs(found.site)
    return form_page(request, form, heading=f"Edit {found}", answer=ANSWER, crumbs=crumbs)


def reference_remove(request: SignedIn, pk: int) -> HttpResponseBase:
    """Ask, then remove a reference."""
    found = changeable(request, references_visible_to(request.user), pk=pk)
    if request.method == "POST":
        remove_reference(by=request.user, reference=found)
        messages.success(request, f"The reference to {found} is removed; its history stays.")
        return redirect("site-documents", found.site.code)
    context = {"reference": found, "site": found.site, "crumbs": documents_crumbs(found.site)}
    return render(request, "documents/reference_remove.html", context)
