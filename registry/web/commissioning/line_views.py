"""Pages of a line in a run: impedance and polarity."""

from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.audio.models import Line
from registry.audio.queries import lines_visible_to
from registry.planning.commissioning import record_impedance, record_polarity
from registry.planning.models import LineMeasurement, Polarity
from registry.planning.sequence import Subject
from registry.web.access import SignedIn, visible
from registry.web.commissioning.forms import ImpedanceForm, PolarityForm
from registry.web.commissioning.here import Here, back_to, here, here_to_write
from registry.web.commissioning.stop_pages import show
from registry.web.saving import saved


def line(request: SignedIn, pk: int, line: int) -> HttpResponseBase:
    """Show what is measured at a line's terminals."""
    return show(request, here(request, pk, Subject.LINE, line))


def _line(request: SignedIn, at: Here) -> Line:
    return visible(lines_visible_to(request.user), pk=at.stop.pk)


def impedance(request: SignedIn, pk: int, line: int) -> HttpResponseBase:
    """Record an impedance."""
    at = here_to_write(request, pk, Subject.LINE, line)
    if request.method != "POST":
        return redirect("commissioning-line", pk, line)
    form = ImpedanceForm(request.POST)
    if saved(form, lambda: _measured(request, at, form)):
        return back_to(at.run, at.stop, "impedance")
    return show(request, at, {"impedance": form})


def _measured(request: SignedIn, at: Here, form: ImpedanceForm) -> LineMeasurement:
    return record_impedance(
        by=request.user,
        commissioning=at.run,
        line=_line(request, at),
        values=form.values(without=("corrects", "seen")),
        corrects=form.cleaned_data["corrects"],
        seen=form.cleaned_data["seen"],
    )


def polarity(request: SignedIn, pk: int, line: int) -> HttpResponseBase:
    """Record a polarity."""
    at = here_to_write(request, pk, Subject.LINE, line)
    if request.method != "POST":
        return redirect("commissioning-line", pk, line)
    form = PolarityForm(request.POST)
    if saved(form, lambda: _tested(request, at, form)):
        return back_to(at.run, at.stop, "polarity")
    return show(request, at, {"polarity": form})


def _tested(request: SignedIn, at: Here, form: PolarityForm) -> LineMeasurement:
    return record_polarity(
        by=request.user,
        commissioning=at.run,
        line=_line(request, at),
        polarity=Polarity(form.cleaned_data["polarity"]),
        note=form.cleaned_data["polarity_note"],
        seen=form.cleaned_data["seen"],
    )
