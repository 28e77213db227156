"""Pages of surveys: upload one, look at what it would do, confirm; download a site as one."""

import io
import zipfile
from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render

from registry.exchange.exporting import export_survey
from registry.exchange.folder import SurveyRefusedError
from registry.exchange.importing import Imported, import_survey
from registry.web.access import SignedIn, visible, writer
from registry.web.crumbs import Crumbs, clients_crumbs
from registry.web.exchange import waiting
from registry.web.exchange.forms import SurveyForm
from registry.web.exchange.preview import previews
from registry.web.saving import typed
from sites.queries import sites_visible_to


def import_crumbs() -> Crumbs:
    """Return the way to the import."""
    return clients_crumbs()


@writer
def survey_import(request: SignedIn) -> HttpResponseBase:
    """Take a survey and go on to the preview; nothing is written yet."""
    form = SurveyForm(typed(request), request.FILES if request.method == "POST" else None)
    if form.is_valid():
        return redirect("survey-preview", waiting.keep(request.user, form.cleaned_data["survey"]))
    status = 413 if form.is_too_large else 422 if form.errors else 200
    return render(request, "exchange/import.html", {"form": form, "crumbs": import_crumbs()}, status=status)


@writer
def survey_preview(request: SignedIn, digest: str) -> HttpResponseBase:
    """Show what a survey would do, and do it when that is confirmed."""
    files = waiting.kept(request.user, digest)
    if files is None:
        messages.error(request, "This upload is not kept any more: upload the survey again. Nothing was written.")
        return redirect("survey-import")
    confirmed = request.method == "POST"
    try:
        imported = import_survey(files, by=request.user, dry_run=not confirmed)
    except SurveyRefusedError as refused:
        return _refused(request, refused, files)
    return _imported(request, imported, digest) if confirmed else _preview(request, imported, files)


def _refused(request: SignedIn, refused: SurveyRefusedError, files: Mapping[str, bytes]) -> HttpResponseBase:
    context = {"problems": refused.problems, "files": sorted(files), "form": SurveyForm(), "crumbs": import_crumbs()}
    return render(request, "exchange/refused.html", context, status=422)


def _preview(request: SignedIn, imported: Imported, files: Mapping[str, bytes]) -> HttpResponseBase:
    context = {"imported": imported, "previews": previews(imported), "files": sorted(files), "crumbs": import_crumbs()}
    return render(request, "exchange/preview.html", context)


def _imported(request: SignedIn, imported: Imported, digest: str) -> HttpResponseBase:
    waiting.forget(request.user, digest)
    messages.success(
        request, f"Imported: {imported.new} new, {imported.changed} changed, of {imported.rows} rows read."
    )
    return redirect("clients")


def survey_export(request: SignedIn, code: str) -> HttpResponseBase:
    """Download a site as a survey folder in a zip."""
    site = visible(sites_visible_to(request.user), code=code)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in export_survey(site).items():
            archive.writestr(
                zipfile.ZipInfo(f"{site.code}/{name}", (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED
            )
    response = HttpResponse(packed.getvalue(), content_type="application/zip")
    response.headers["Content-Disposition"] = f'attachment; filename="{site.code}-survey.zip"'
    return response
