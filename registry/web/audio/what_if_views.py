"""Pages of "what if": try another wiring of a line, and put it into the register once it is accepted."""

from django.contrib import messages
from django.db.models import Q
from django.forms import CharField, Form, HiddenInput
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.audio.loads import with_wiring
from registry.audio.models import Line
from registry.audio.queries import lines_visible_to
from registry.audio.rewiring import accept_wiring
from registry.audio.what_if import MOST_COILS
from registry.equipment.models import Kind
from registry.equipment.queries import models_in_catalogue
from registry.web.access import SignedIn, require_writer, visible
from registry.web.audio.line_views import line_crumbs, untouched
from registry.web.audio.what_if_asked import Asked
from registry.web.audio.what_if_forms import Catalogue
from registry.web.audio.what_if_page import what_if_page
from registry.web.saving import saved


class AcceptForm(Form):
    """The mark of the wiring that was compared."""

    seen = CharField(widget=HiddenInput, max_length=64)


def line_what_if(request: SignedIn, pk: int) -> HttpResponseBase:
    """Compare another wiring with the one that is there; a POST accepts it, after asking."""
    line = visible(with_wiring(lines_visible_to(request.user)), pk=pk)
    if request.method == "POST":
        require_writer(request)
    if not line.may_change:
        return untouched(request, line)
    if len(line.coils.all()) > MOST_COILS:
        return _page(request, line, None)
    asked = Asked(request.GET.dict(), line, _catalogue(line))
    if request.method == "POST":
        return _accept(request, line, asked)
    if asked.is_valid and request.GET.dict() != asked.changed:
        return redirect(f"{reverse('line-what-if', args=[pk])}?{asked.address}")
    return _page(request, line, asked)


def _catalogue(line: Line) -> Catalogue:
    models = models_in_catalogue().order_by("make__name", "name")
    loudspeakers = models.filter(kind=Kind.LOUDSPEAKER).select_related("loudspeaker")
    driving = models.filter(Q(kind=Kind.AMPLIFIER) | Q(ratings__isnull=False)).distinct()
    return Catalogue(loudspeakers, driving.prefetch_related("ratings"), line.site)


def _page(request: SignedIn, line: Line, asked: Asked | None) -> HttpResponseBase:
    context = {"line": line, "site": line.site, "crumbs": line_crumbs(line), "most_coils": MOST_COILS}
    if asked is None:
        return render(request, "audio/what_if_long.html", context)
    context |= what_if_page(line, asked)
    return render(request, "audio/what_if.html", context, status=200 if asked.is_valid else 422)


def _accept(request: SignedIn, line: Line, asked: Asked) -> HttpResponseBase:
    if not asked.is_valid:
        return _page(request, line, asked)
    context = what_if_page(line, asked)
    if not context.get("changes"):
        messages.warning(request, "There is nothing to accept: no coil hangs otherwise than now.")
        return redirect(f"{reverse('line-what-if', args=[line.pk])}?{asked.address}")
    form = AcceptForm(request.POST if "sure" in request.POST else None, initial={"seen": context["mark"]})
    if made := saved(form, lambda: _written(request, line, asked, form)):
        verdict = made.get_verdict_display().lower()
        messages.success(request, f"{made} is recorded as shown. Its load was judged again: {verdict}.")
        return redirect("line", line.pk)
    context |= {"line": line, "site": line.site, "form": form, "back": f"{request.path}?{asked.address}"}
    context["crumbs"] = [*line_crumbs(line), ("What if", context["back"])]
    return render(request, "audio/what_if_accept.html", context, status=422 if form.errors else 200)


def _written(request: SignedIn, line: Line, asked: Asked, form: Form) -> Line:
    return accept_wiring(by=request.user, line=line, proposal=asked.proposal(), seen=form.cleaned_data["seen"])
