"""What is printed: the door card, labels, the restore sheet as a PDF. Whoever may read a site may print it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.baselines.queries import baselines_visible_to
from registry.baselines.restoring import sheet_of
from registry.equipment.models import Place
from registry.planning.queries import fold_plans_visible_to
from registry.reports.door_card import GLOSSES, HOT, DoorCard, door_card_of, door_card_pdf
from registry.reports.label_sheet import labels_pdf as pdf_of_labels
from registry.reports.labels import counts_of, labels_of
from registry.reports.pdf import UnprintableError
from registry.reports.qr import qr_code
from registry.reports.sheet import Sheet, sheet_pdf
from registry.reports.wording import SHORT_FORM
from registry.web.access import SignedIn, visible
from registry.web.crumbs import site_crumbs
from registry.web.reports.downloads import pdf_response
from registry.web.reports.label_forms import LabelsForm, asked_for, labels_sentence
from registry.web.reports.restore_sheet import printed_sheet
from registry.web.reports.wiring_sheet import printed_wiring
from registry.web.sites.site_page import place_page
from sites.models import Rack, Site
from sites.queries import racks_visible_to, sites_visible_to


def door_card_page(request: SignedIn, code: str) -> HttpResponseBase:
    """Show the door card, and what is missing from it."""
    site = visible(sites_visible_to(request.user), code=code)
    return _card_page(request, site, door_card_of(site))


def _card_page(
    request: SignedIn, site: Site, card: DoorCard | None, *, refused: str = "", status: int = 200
) -> HttpResponse:
    words = {
        "qr": qr_code(_site_address(request, site)).svg,
        "glosses": GLOSSES,
        "hot": HOT,
        "short_form": SHORT_FORM,
        "refused": refused,
    }
    context = {"site": site, "crumbs": site_crumbs(site), "card": card, **words}
    return render(request, "reports/door_card.html", context, status=status)


def door_card(request: SignedIn, code: str) -> HttpResponseBase:
    """Download the door card; without a baseline there is none."""
    site = visible(sites_visible_to(request.user), code=code)
    card = door_card_of(site)
    if card is None:
        return _card_page(request, site, None, status=409)
    try:
        return pdf_response(door_card_pdf(card, address=_site_address(request, site)), site, "door-card")
    except UnprintableError as error:
        refused = f"{error} The card is shown here instead: print this page."
        return _card_page(request, site, card, refused=refused, status=409)


def _site_address(request: HttpRequest, site: Site) -> str:
    """Return the full address of a site's page, as the person asking has reached us."""
    return request.build_absolute_uri(reverse("site", args=[site.code]))


def labels(request: SignedIn, code: str) -> HttpResponseBase:
    """Choose what to label, on which paper."""
    site = visible(sites_visible_to(request.user), code=code)
    return _labels_page(request, site, _labels_form(request, site))


def _labels_form(request: SignedIn, site: Site) -> LabelsForm:
    return LabelsForm(asked_for(request.GET), racks=racks_visible_to(request.user).filter(site=site))


def _labels_page(request: SignedIn, site: Site, form: LabelsForm, status: int = 200) -> HttpResponse:
    says = labels_sentence(counts_of(site))
    context = {"site": site, "crumbs": site_crumbs(site), "form": form, "says": says}
    return render(request, "reports/labels.html", context, status=status)


def labels_pdf(request: SignedIn, code: str) -> HttpResponseBase:
    """Download the labels; what is wrong with the choice stands beside its field."""
    site = visible(sites_visible_to(request.user), code=code)
    form = _labels_form(request, site)
    if form.is_valid():
        rack = form.cleaned_data["rack"]
        chosen = labels_of(site, form.cleaned_data["kinds"], rack=rack, address=lambda of: _page_of(request, of))
        try:
            return pdf_response(pdf_of_labels(f"Labels: {rack or site}", chosen, form.layout()), site, "labels")
        except UnprintableError as error:
            form.add_error(None, str(error))
    return _labels_page(request, site, form, status=422)


def _page_of(request: HttpRequest, of: Rack | Place) -> str:
    page = reverse("rack", args=[of.pk]) if isinstance(of, Rack) else place_page(of)
    return request.build_absolute_uri(page)


def restore_sheet_pdf(request: SignedIn, pk: int) -> HttpResponseBase:
    """Download the restore sheet: the same as the page, ready to print."""
    found = visible(baselines_visible_to(request.user), pk=pk)
    sheet = printed_sheet(found, sheet_of(found))
    return _sheet(request, sheet, found.site, f"restore-sheet-{found.number}") or redirect("restore-sheet", pk)


def _sheet(request: SignedIn, sheet: Sheet, site: Site, name: str) -> HttpResponse | None:
    """Return a sheet as a download; None, with a message, when there is too much to print."""
    try:
        return pdf_response(sheet_pdf(sheet), site, name)
    except UnprintableError as error:
        messages.error(request, f"{error} Print this page instead.")
        return None


def wiring_sheet_pdf(request: SignedIn, pk: int) -> HttpResponseBase:
    """Download the wiring sheet of a fold plan, terminal by terminal."""
    plan = visible(fold_plans_visible_to(request.user), pk=pk)
    sheet = printed_wiring(plan)
    return _sheet(request, sheet, plan.site, f"wiring-sheet-{plan.number}") or redirect("fold-plan-wiring", pk)
