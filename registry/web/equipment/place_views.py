"""Pages of places and of the settings that were read there."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from registry.audio.queries import lines_visible_to
from registry.baselines.queries import newest_baselines
from registry.baselines.snapshot import POWER_CUT_KEY
from registry.equipment.actions import record_settings
from registry.equipment.document_queries import documents_of_place
from registry.equipment.editing import save_place
from registry.equipment.models import ConfigurationRecord, Kind, Place
from registry.equipment.queries import items_in, places_visible_to, records_of_place, settings_now
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.equipment.forms import PlaceForm, RecordForm, SettingFormSet, SettingRows
from registry.web.equipment.place_page import picked_difference, setting_lines, settings_sentence
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from registry.web.sites.site_page import place_page
from registry.web.visits.beside import visits_beside
from sites.models import User
from sites.put import Batch, Key
from sites.queries import sites_visible_to


def place(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a place: what fills it, its settings, its records and its lines."""
    found = visible(places_visible_to(request.user), pk=pk)
    context = {"place": found, "crumbs": site_crumbs(found.site), **_place_context(request, found)}
    context |= visits_beside(request.user, found)
    return render(request, "equipment/place.html", context)


def _place_context(request: SignedIn, place: Place) -> dict[str, Any]:
    baseline = newest_baselines([place.site_id]).get(place.site_id)
    placements = list(items_in(place))
    records = list(records_of_place(place))
    settings = setting_lines(place, baseline)
    lines = list(lines_visible_to(request.user).filter(amplifier=place).order_by("channel", "name"))
    return {
        "placement": next((each for each in placements if each.current), None),
        "placements": placements,
        "baseline": baseline,
        "settings": settings,
        "settings_sentence": settings_sentence(settings, baseline),
        "records": records,
        "difference": picked_difference(records, request.GET),
        "lines": lines,
        "documents": documents_of_place(request.user, place),
        "flagged": [line.name for line in lines if line.life_safety != "no"],
    }


def place_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record a place of a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    start = {name: request.GET.get(name, "") for name in ("ip", "hostname")}
    form = PlaceForm(typed(request), site=site, initial=start)
    if made := saved(form, lambda: save_place(by=request.user, site=site, place=None, values=form.values())):
        messages.success(request, f"Place {made} is recorded. Now put an item in it.")
        return redirect("place", made.pk)
    answer = "Where an item does its work, such as amplifier 2 in rack A. It stays when the item is replaced."
    crumbs = site_crumbs(site)
    return form_page(request, form, heading="New place", answer=answer, crumbs=crumbs, save="Record place")


def place_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a place."""
    found = changeable(request, places_visible_to(request.user), pk=pk)
    form = PlaceForm(typed(request), instance=found, site=found.site)
    if made := saved(form, lambda: save_place(by=request.user, site=found.site, place=found, **form.edited())):
        messages.success(request, f"Place {made} is saved.")
        return redirect("place", made.pk)
    answer = "Its settings, lines and records stay with it."
    return form_page(
        request, form, heading=f"Edit {found}", answer=answer, crumbs=_crumbs(found), cautions=["mains", "lifting"]
    )


def _crumbs(place: Place) -> Crumbs:
    return [*site_crumbs(place.site), (place.name, place_page(place))]


def settings_new(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record the settings that were read from a place."""
    place = changeable(request, places_visible_to(request.user), pk=pk)
    now = settings_now([place]).get(place.pk, {})
    form = RecordForm(typed(request), zone=place.site.zone_info, initial={"taken_at": timezone.now()})
    rows = SettingFormSet(typed(request), initial=_wanted(place, {key: each.unit for key, each in now.items()}))
    if saved(form, lambda: _record(request.user, place, form, rows)) if rows.is_valid() else None:
        messages.success(request, "The settings are recorded.")
        return redirect("place", place.pk)
    asked = [(row, now[key].shown if (key := row["key"].value()) in now else "") for row in rows]
    flagged = lines_visible_to(request.user).filter(amplifier=place).exclude(life_safety="no").exists()
    context = {"place": place, "form": form, "rows": rows, "asked": asked, "flagged": flagged, "crumbs": _crumbs(place)}
    return render(request, "equipment/settings_new.html", context, status=422 if form.errors or rows.errors else 200)


def _wanted(place: Place, units: dict[str, str]) -> list[dict[str, str]]:
    """Return a row for every setting known here, and for the power-cut test that every baseline asks for."""
    placement = items_in(place).filter(current=True).first()
    kind = placement.item.make_model.kind if placement else ""
    if kind in {Kind.AMPLIFIER, Kind.ENDPOINT}:
        units = {**units, POWER_CUT_KEY: units.get(POWER_CUT_KEY, "")}
    return [{"key": key, "unit": unit} for key, unit in sorted(units.items())]


def _record(user: User, place: Place, form: RecordForm, rows: SettingRows) -> ConfigurationRecord:
    placement = items_in(place).filter(current=True).first()
    key: Key = (place.pk, form.cleaned_data["state"], form.cleaned_data["taken_at"])
    row = {"item_id": placement.item_id if placement else None, "settings": rows.settings()}
    return record_settings(Batch(by=user), {key: row})[key]
