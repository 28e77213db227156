"""What the pages of the track, of a line and of an amplifier show; a zone's is in zone_page.py."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpResponseBase
from django.shortcuts import redirect

from registry.audio.loads import load_of, with_wiring
from registry.audio.queries import lines_visible_to
from registry.baselines.queries import readings_visible_to
from registry.baselines.snapshot import POWER_CUT_KEY
from registry.equipment.queries import places_visible_to, settings_now
from registry.planning.models import Commissioning
from registry.planning.sequence import Subject
from registry.web.access import SignedIn, visible
from registry.web.commissioning import cautions
from registry.web.commissioning.forms import ImpedanceForm, PolarityForm, PowerCutForm, TrackForm
from registry.web.commissioning.here import Here, Refused, stop_address, stop_page
from registry.web.commissioning.line_history import measurement_rows
from registry.web.commissioning.zone_page import zone_page
from sites.models import User

Context = dict[str, Any]


def show(request: SignedIn, at: Here, refused: Refused | None = None) -> HttpResponseBase:
    """Show the page of a stop; a form that was refused is shown again with what was typed."""
    if refused and (not at.editable or at.stop.excluded):
        # No form is left to show beside which the refusal could stand.
        said = [str(error) for form in refused.values() for errors in form.errors.values() for error in errors]
        messages.error(request, f"Nothing was recorded. {' '.join(said)}".rstrip())
        return redirect(stop_address(at.run, at.stop))
    template, context = PAGES[at.stop.subject]
    return stop_page(request, at, template, context(request.user, at, refused or {}), refused)


def sent_or(refused: Refused, name: str, unsent: BaseForm) -> BaseForm:
    """Return the form that was sent and refused, or the one that nobody has sent yet."""
    form = refused.get(name, unsent)
    # Every field of the page has an id of its own, whichever form was sent.
    form.auto_id = f"{name}-%s"
    return form


def _track_page(user: User, at: Here, refused: Refused) -> Context:
    row = at.row("file and level", refused)
    last = readings_visible_to(user).filter(zone__site=at.run.site_id).exclude(track="").order_by("-taken_at").first()
    initial: dict[str, Any] = {"seen": row.seen if row else ""}
    if not at.run.track_name and last:
        initial["track_name"] = last.track
    return {"row": row, "form": sent_or(refused, "track", TrackForm(instance=at.run, initial=initial))}


def _line_page(user: User, at: Here, refused: Refused) -> Context:
    line = visible(with_wiring(lines_visible_to(user)), pk=at.stop.pk)
    rows = {word: at.row(word, refused) for word in ("impedance", "polarity")}
    impedance, polarity = rows["impedance"], rows["polarity"]
    return {
        "line": line,
        "load": load_of(line) if line.coils.all() else None,
        "cautions": cautions.at_line(line),
        "impedance": impedance,
        "polarity": polarity,
        "impedance_form": sent_or(
            refused,
            "impedance",
            ImpedanceForm(initial={"seen": impedance.seen if impedance else "", "frequency_hz": _frequency(at.run)}),
        ),
        "polarity_form": sent_or(
            refused, "polarity", PolarityForm(initial={"seen": polarity.seen if polarity else ""})
        ),
        "measurements": measurement_rows(line),
    }


def _frequency(run: Commissioning) -> float | None:
    """The meter of this run measures the next line as it did the last."""
    measured = run.steps.filter(measurement__frequency_hz__isnull=False).order_by("-changed_at").first()
    return measured.measurement.frequency_hz if measured and measured.measurement else None


def _place_page(user: User, at: Here, refused: Refused) -> Context:
    place = visible(places_visible_to(user), pk=at.stop.pk)
    row = at.row("power cut", refused)
    settings = settings_now([place]).get(place.pk, {})
    others = [setting.record.taken_at for key, setting in settings.items() if key != POWER_CUT_KEY]
    return {
        "place": place,
        "row": row,
        "cautions": cautions.at_place(at.run.site.voice_alarm),
        "form": sent_or(refused, "power-cut", PowerCutForm(initial={"seen": row.seen if row else ""})),
        "tested": settings.get(POWER_CUT_KEY),
        "settings_of": max(others, default=None),
    }


PAGES: dict[Subject, tuple[str, Callable[[User, Here, Refused], Context]]] = {
    Subject.TRACK: ("commissioning/track.html", _track_page),
    Subject.LINE: ("commissioning/line.html", _line_page),
    Subject.ZONE: ("commissioning/zone.html", zone_page),
    Subject.PLACE: ("commissioning/place.html", _place_page),
}
