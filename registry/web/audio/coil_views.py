"""Pages of the coils on a line: rewire, disconnect. Connecting one is in adding_views.py."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.audio.editing import disconnect_coil, rewire_coil
from registry.audio.models import Line, LineKind
from registry.audio.queries import coils_visible_to
from registry.web.access import SignedIn, changeable
from registry.web.audio.forms import CoilForm
from registry.web.audio.line_views import WIRING_CAUTIONS, line_crumbs, untouched
from registry.web.forms import ConfirmForm
from registry.web.pages import form_page
from registry.web.saving import saved, typed


def cautions_for(line: Line) -> tuple[str, ...]:
    """Return the cautions for work on a line; only those that apply, so that they are read."""
    return (*(WIRING_CAUTIONS if line.kind in {LineKind.V70, LineKind.V100} else WIRING_CAUTIONS[:1]), "ladder")


def coil_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change where a coil hangs, its tap or its cable."""
    coil = changeable(request, coils_visible_to(request.user), pk=pk)
    if not coil.line.may_change:
        return untouched(request, coil.line)
    form = CoilForm(typed(request), instance=coil, site=coil.line.site)
    if made := saved(form, lambda: rewire_coil(by=request.user, coil=coil, **form.edited())):
        messages.success(request, f"{made} is saved. The load was judged again.")
        return redirect("line", made.line_id)
    answer = "The load is judged again when you save; measure before you switch on."
    heading, crumbs = f"Edit {coil}", line_crumbs(coil.line)
    return form_page(request, form, heading=heading, answer=answer, crumbs=crumbs, cautions=cautions_for(coil.line))


def coil_disconnect(request: SignedIn, pk: int) -> HttpResponseBase:
    """Take a coil off its line, after asking."""
    coil = changeable(request, coils_visible_to(request.user), pk=pk)
    if not coil.line.may_change:
        return untouched(request, coil.line)
    form = ConfirmForm(typed(request), row=coil)
    if line := saved(form, lambda: disconnect_coil(by=request.user, coil=coil, version=form.version())):
        messages.success(
            request, f"{coil} is off line {line}. Connect it again from the line's page if that was wrong."
        )
        return redirect("line", line.pk)
    answer = f"{coil} leaves line {coil.line}; the load is judged again. The loudspeaker and its history stay."
    heading, crumbs = f"Disconnect {coil}", line_crumbs(coil.line)
    return form_page(
        request,
        form,
        heading=heading,
        answer=answer,
        crumbs=crumbs,
        save="Disconnect",
        cautions=cautions_for(coil.line),
    )
