"""Pages that add by hand what a survey brings in: a line of a site, a loudspeaker on a line."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.audio.adding import add_line, connect_new_loudspeaker
from registry.audio.editing import connect_coil
from registry.audio.models import Coil, Line
from registry.audio.queries import lines_visible_to, loudspeakers_with_a_free_coil
from registry.equipment.models import Kind
from registry.equipment.queries import models_in_catalogue
from registry.web.access import SignedIn, changeable
from registry.web.audio.joining_forms import JoiningCoilForm, NewLineForm
from registry.web.audio.line_views import WIRING_CAUTIONS, line_crumbs, untouched
from registry.web.crumbs import site_crumbs
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.models import Site, YesNoUnknown
from sites.queries import sites_visible_to


def line_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record a line of a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = NewLineForm(typed(request), site=site)
    if made := saved(form, lambda: _line(request, site, form)):
        told = (
            "Connect its first coil." if made.may_change else "A manager records what it serves before it is changed."
        )
        messages.success(request, f"Line {made} is recorded. {told}")
        return redirect("line", made.pk)
    return form_page(
        request,
        form,
        heading="New line",
        answer="Everything that is wired to one amplifier channel. One channel carries one line.",
        crumbs=site_crumbs(site),
        save="Record line",
        cautions=("life-safety", *WIRING_CAUTIONS),
    )


def _line(request: SignedIn, site: Site, form: NewLineForm) -> Line:
    value, source = YesNoUnknown(form.cleaned_data["life_safety"]), form.cleaned_data["source"]
    return add_line(by=request.user, site=site, values=form.values(), life_safety=value, source=source)


def coil_new(request: SignedIn, pk: int) -> HttpResponseBase:
    """Connect a coil to a line: of a recorded loudspeaker that has one free, or of a new one."""
    line = changeable(request, lines_visible_to(request.user), pk=pk)
    if not line.may_change:
        return untouched(request, line)
    models = models_in_catalogue().filter(kind=Kind.LOUDSPEAKER)
    free = loudspeakers_with_a_free_coil(request.user, line.site)
    form = JoiningCoilForm(typed(request), site=line.site, free=free, models=models)
    if made := saved(form, lambda: _connected(request, line, form)):
        messages.success(request, f"{made} is recorded on line {line}. Its load was judged again.")
        return redirect("line", line.pk)
    answer = "Record what is wired. The load is judged again when you save; measure before you switch on."
    heading, crumbs, cautions = f"Connect a coil to {line}", line_crumbs(line), (*WIRING_CAUTIONS, "ladder")
    return form_page(request, form, heading=heading, answer=answer, crumbs=crumbs, save="Record", cautions=cautions)


def _connected(request: SignedIn, line: Line, form: JoiningCoilForm) -> Coil:
    if unit := form.unit():
        return connect_new_loudspeaker(by=request.user, line=line, unit=unit, values=form.values())
    return connect_coil(by=request.user, line=line, values=form.values())
