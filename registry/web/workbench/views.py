"""Pages of the Workbench."""

from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from registry.web.access import SignedIn
from registry.web.workbench.catalogue import CALCULATIONS, THEMES
from registry.web.workbench.declaring import Calculation
from registry.web.workbench.forms import CalculationForm
from registry.web.workbench.working import Outcome, worked

CRUMBS_WORDS = "Workbench"


@require_safe
def workbench(request: SignedIn) -> HttpResponseBase:
    """List every calculation by theme."""
    return render(request, "workbench/index.html", {"themes": THEMES, "count": len(CALCULATIONS)})


@require_safe
def calculation(request: SignedIn, name: str) -> HttpResponseBase:
    """Calculate what the address asks for; without a question in it, show the worked example."""
    found = by_name(name)
    outcome = asked(request, found)
    theme = next(theme for theme in THEMES if found in theme.calculations)
    context = {
        "calculation": found,
        "form": CalculationForm(found, outcome),
        "answer": outcome.answer,
        "faults": outcome.faults,
        "is_example": not request.GET,
        "others": [other for other in theme.calculations if other is not found],
        "theme": theme,
        "crumbs": [(CRUMBS_WORDS, reverse("workbench"))],
    }
    return render(request, "workbench/calculation.html", context, status=422 if outcome.faults else 200)


@require_safe
def calculation_file(request: SignedIn, name: str) -> HttpResponseBase:
    """Hand out the file that belongs to an answer."""
    answer = asked(request, by_name(name)).answer
    if answer is None or answer.download is None:
        raise Http404("There is no file for this.")
    headers = {"Content-Disposition": f'attachment; filename="{answer.download.filename}"'}
    return HttpResponse(answer.download.make(), content_type=answer.download.content_type, headers=headers)


def by_name(name: str) -> Calculation:
    """Return the calculation of that name, or a 404."""
    if name not in CALCULATIONS:
        raise Http404("There is no such calculation.")
    return CALCULATIONS[name]


def asked(request: SignedIn, found: Calculation) -> Outcome:
    """Work what the address asks for, or the example where it asks for nothing."""
    return worked(found, request.GET.dict() if request.GET else found.example)
