"""The owner's report of a client or a site: page, PDF and workbook, and recording that it was given."""

from typing import NamedTuple

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.text import slugify
from django.views.decorators.http import require_POST

from registry.reports.owners_figures import OwnersFigures
from registry.reports.owners_report import Scope, owners_figures, state_of
from registry.reports.owners_sheet import owners_sheet
from registry.reports.owners_tables import owners_tables
from registry.reports.pdf import UnprintableError
from registry.reports.sheet import sheet_pdf
from registry.visits.owners_reports import record_owners_report
from registry.web.access import SignedIn, require_writer, visible
from registry.web.crumbs import Crumbs, client_crumbs, site_crumbs
from registry.web.exports import xlsx_response
from registry.web.reports.downloads import pdf_named
from registry.web.reports.owners_forms import InflationForm
from sites.queries import clients_visible_to, sites_visible_to


class Asked(NamedTuple):
    """A report that somebody may read, its addresses, and the inflation that the address asks for."""

    scope: Scope
    crumbs: Crumbs
    route: str
    key: str
    form: InflationForm

    @property
    def figures(self) -> OwnersFigures:
        """The report as of today."""
        return owners_figures(self.scope, today=timezone.localdate(), inflation=self.form.percent)

    def address(self, kind: str = "") -> str:
        """Return the address of the page, or of another kind of it, with the inflation that was chosen."""
        name = f"{self.route}-{kind}" if kind else self.route
        chosen = {"inflation": self.form.typed} if self.form.typed else {}
        return reverse(name, args=[self.key]) + (f"?{urlencode(chosen)}" if chosen else "")

    @property
    def filename(self) -> str:
        """A name for a download."""
        return slugify(f"owners report {self.scope.name}") or "owners-report"


def of_client(request: SignedIn, key: str) -> Asked:
    """Return the report of a client that the reader may see, with the sites of it that they may see."""
    sites = list(sites_visible_to(request.user).filter(client=int(key)).order_by("name", "pk"))
    client = sites[0].client if sites else visible(clients_visible_to(request.user), pk=key)
    return Asked(
        Scope(client, sites), client_crumbs(client), "owners-report-client", key, InflationForm.asked(request.GET)
    )


def of_site(request: SignedIn, key: str) -> Asked:
    """Return the report of a site that the reader may see."""
    site = visible(sites_visible_to(request.user), code=key)
    form = InflationForm.asked(request.GET)
    return Asked(Scope(site.client, [site], site), site_crumbs(site), "owners-report-site", key, form)


def _page(request: SignedIn, asked: Asked) -> HttpResponseBase:
    context = {
        "asked": asked,
        "sheet": owners_sheet(asked.figures),
        "crumbs": asked.crumbs,
        "form": asked.form,
        "pdf": asked.address("pdf"),
        "xlsx": asked.address("xlsx"),
        "record": asked.address("record"),
    }
    return render(request, "reports/owners_report.html", context, status=200 if asked.form.is_fine else 422)


def _pdf(request: SignedIn, asked: Asked) -> HttpResponseBase:
    if not asked.form.is_fine:
        return redirect(asked.address())
    try:
        return pdf_named(sheet_pdf(owners_sheet(asked.figures)), asked.filename)
    except UnprintableError as error:
        messages.error(request, f"{error} Take the workbook (XLSX) instead.")
        return redirect(asked.address())


def _xlsx(asked: Asked) -> HttpResponseBase:
    if not asked.form.is_fine:
        return redirect(asked.address())
    return xlsx_response(owners_tables(asked.figures), name=asked.filename)


def _record(request: SignedIn, asked: Asked) -> HttpResponseBase:
    require_writer(request)
    scope = asked.scope
    try:
        record_owners_report(by=request.user, client=scope.client, site=scope.site, content=state_of(scope))
        messages.success(request, "The report is recorded: the next one says what has changed since.")
    except ValueError as refused:
        messages.error(request, f"Nothing was recorded: {refused}.")
    return redirect(asked.address())


def client_page(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a client's report."""
    return _page(request, of_client(request, str(pk)))


def client_pdf(request: SignedIn, pk: int) -> HttpResponseBase:
    """Download a client's report."""
    return _pdf(request, of_client(request, str(pk)))


def client_xlsx(request: SignedIn, pk: int) -> HttpResponseBase:
    """Download a client's report as a workbook."""
    return _xlsx(of_client(request, str(pk)))


@require_POST
def client_record(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record that a client was given the report."""
    return _record(request, of_client(request, str(pk)))


def site_page(request: SignedIn, code: str) -> HttpResponseBase:
    """Show a site's report."""
    return _page(request, of_site(request, code))


def site_pdf(request: SignedIn, code: str) -> HttpResponseBase:
    """Download a site's report."""
    return _pdf(request, of_site(request, code))


def site_xlsx(request: SignedIn, code: str) -> HttpResponseBase:
    """Download a site's report as a workbook."""
    return _xlsx(of_site(request, code))


@require_POST
def site_record(request: SignedIn, code: str) -> HttpResponseBase:
    """Record that the report of a site was given."""
    return _record(request, of_site(request, code))
