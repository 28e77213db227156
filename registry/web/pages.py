"""The one page that shows a form alone: heading, what is about to happen, cautions, fields, Save and Cancel."""

from collections.abc import Sequence

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from registry.web.crumbs import Crumbs
from registry.web.saving import status_of


def form_page(
    request: HttpRequest,
    form: BaseForm,
    *,
    heading: str,
    answer: str,
    crumbs: Crumbs,
    save: str = "Save",
    cautions: Sequence[str] = (),
) -> HttpResponse:
    """Show a form; Cancel leads to the last crumb. A refused form says so in its status (`status_of`)."""
    words = {"heading": heading, "answer": answer, "crumbs": crumbs, "save": save, "cautions": cautions}
    back = crumbs[-1][1] if crumbs else ""
    return render(request, "form.html", {"form": form, "back": back, **words}, status=status_of(form))
