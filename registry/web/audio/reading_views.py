"""Pages of readings: record one, correct one."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.audio.models import Zone
from registry.audio.queries import zones_visible_to
from registry.baselines.actions import correct_reading, record_readings
from registry.baselines.drift import drifts_of
from registry.baselines.models import Reading
from registry.baselines.queries import newest_readings, readings_visible_to
from registry.web.access import SignedIn, changeable
from registry.web.audio.reading_forms import NewReadingForm, ReadingForm, known_before
from registry.web.audio.zone_views import zone_crumbs
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.put import Batch, Key


def reading_new(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record a level of a zone."""
    zone = changeable(request, zones_visible_to(request.user), pk=pk)
    before = newest_readings([zone]).get(zone.pk)
    form = NewReadingForm(typed(request), zone=zone, initial=known_before(zone, before))
    if made := saved(form, lambda: _recorded(request, zone, form)):
        messages.success(request, f"{made.level_db:g} dB is recorded. {drifts_of([zone])[zone.pk].says}")
        return redirect("zone", zone.pk)
    spot = f"Read it at {zone.spot}." if zone.spot else "No spot is recorded: mark one and write it down."
    return form_page(
        request,
        form,
        heading=f"Read a level in {zone}",
        answer=f"{spot} The reference track plays, nobody talks, and the meter stands where it stood before.",
        crumbs=zone_crumbs(zone),
        save="Record reading",
        cautions=("hearing",),
    )


def _recorded(request: SignedIn, zone: Zone, form: NewReadingForm) -> Reading:
    values = form.values()
    key: Key = (zone.pk, values["state"], values["taken_at"])
    return record_readings(Batch(by=request.user), {key: {**values, "zone_id": zone.pk}})[key]


def reading_correct(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record what a reading should have been; the wrong one stays readable."""
    reading = changeable(request, readings_visible_to(request.user).select_related("correction"), pk=pk)
    crumbs = zone_crumbs(reading.zone)
    if newer := reading.corrected_by():
        context = {"reading": reading, "newer": newer, "site": reading.zone.site, "crumbs": crumbs}
        return render(request, "audio/corrected.html", context, status=409)
    form = ReadingForm(typed(request), instance=reading)
    if made := saved(form, lambda: correct_reading(by=request.user, reading=reading, values=form.values())):
        messages.success(
            request, f"Corrected to {made.level_db:g} dB. The wrong reading stays visible and doesn't count."
        )
        return redirect("zone", reading.zone_id)
    answer = "Write down what it should have been. The wrong one stays visible with a remark and no longer counts."
    heading = f"Correct a reading of {reading.zone}"
    return form_page(request, form, heading=heading, answer=answer, crumbs=crumbs, save="Record correction")
