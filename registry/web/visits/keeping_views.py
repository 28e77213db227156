"""Photos and parts of a visit."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.visits.keeping import add_visit_photo, correct_part, use_part
from registry.visits.models import Finding, PartUsed, Visit, VisitPhoto
from registry.visits.queries import (
    findings_visible_to,
    parts_used_visible_to,
    visit_photos_visible_to,
    visits_visible_to,
)
from registry.web.access import SignedIn, changeable, visible
from registry.web.pages import form_page
from registry.web.pictures import picture_response
from registry.web.saving import saved, typed
from registry.web.visits.forms import PartCorrectionForm, PartForm, VisitPhotoForm
from registry.web.visits.views import visit_crumbs
from sites.photos import MOST_BYTES

LOOK_ONCE = "The photo is kept. Look at it once: does it show a password or a person?"


def photo_new(request: SignedIn, pk: int) -> HttpResponseBase:
    """Keep a photo of a visit or of one of its site's open findings."""
    visit = changeable(request, visits_visible_to(request.user), pk=pk)
    findings = findings_visible_to(request.user).filter(site=visit.site_id, closed_at__isnull=True)
    form = VisitPhotoForm(typed(request), request.FILES or None, findings=findings)
    if saved(form, lambda: _kept(request, visit, form)):
        messages.success(request, LOOK_ONCE)
        return redirect("visit", pk)
    answer = f"Of {visit.site}, kept with this visit and shown in its report."
    return form_page(request, form, heading="Photo", answer=answer, crumbs=visit_crumbs(visit), save="Keep the photo")


def _kept(request: SignedIn, visit: Visit, form: VisitPhotoForm) -> VisitPhoto:
    values = form.cleaned_data
    finding: Finding | None = values["finding"]
    # One byte more than is taken: enough to be refused, without reading all of a huge file.
    data = values["photo"].read(MOST_BYTES + 1)
    return add_visit_photo(by=request.user, visit=visit, data=data, caption=values["caption"], finding=finding)


def photo(request: SignedIn, pk: int) -> HttpResponseBase:
    """Return a picture to who may read its site."""
    return picture_response(visible(visit_photos_visible_to(request.user), pk=pk).image)


def part_new(request: SignedIn, pk: int) -> HttpResponseBase:
    """Note a part that was used."""
    visit = changeable(request, visits_visible_to(request.user), pk=pk)
    form = PartForm(typed(request))
    if saved(form, lambda: use_part(by=request.user, visit=visit, **form.values())):
        return redirect("visit", pk)
    answer = "What was fitted or used up, for the report and for the van."
    return form_page(
        request, form, heading="Part used", answer=answer, crumbs=visit_crumbs(visit), save="Note the part"
    )


def part_correct(request: SignedIn, pk: int) -> HttpResponseBase:
    """Correct a part that was noted wrongly."""
    part: PartUsed = changeable(request, parts_used_visible_to(request.user), pk=pk)
    initial = {"what": part.what, "make_model": part.make_model_id, "quantity": part.quantity}
    form = PartCorrectionForm(typed(request), initial=initial)
    if saved(form, lambda: correct_part(by=request.user, part=part, **form.values())):
        return redirect("visit", part.visit_id)
    answer = f"Noted: {part}. The first row stays readable."
    return form_page(request, form, heading="Correct a part", answer=answer, crumbs=visit_crumbs(part.visit))
