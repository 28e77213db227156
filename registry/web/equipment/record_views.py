"""The page that corrects a configuration record."""

from django.contrib import messages
from django.db.models import QuerySet
from django.forms import Form
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.audio.queries import lines_visible_to
from registry.equipment.correcting import correct_record
from registry.equipment.models import ConfigurationRecord, Place
from registry.equipment.queries import records_visible_to
from registry.web.access import SignedIn, changeable
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.equipment.forms import SettingFormSet, SettingRows
from registry.web.saving import saved, typed
from registry.web.sites.site_page import place_page
from sites.models import User


def record_correct(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record what a configuration record should have said; the wrong one stays readable."""
    record = changeable(request, _records(request.user), pk=pk)
    place = record.place
    context = {"record": record, "place": place, "site": place.site, "crumbs": _crumbs(place)}
    if newer := record.corrected_by():
        return render(request, "equipment/record_corrected.html", context | {"newer": newer}, status=409)
    form, rows = Form(typed(request)), SettingFormSet(typed(request), initial=_start(record))
    if rows.is_valid() and (saved(form, lambda: _corrected(request.user, record, rows)) is not None):
        messages.success(request, "The correction is recorded. The wrong record stays visible and doesn't count.")
        return redirect("place", place.pk)
    before = {setting.key: f"{setting.value} {setting.unit}".rstrip() for setting in record.settings.all()}
    context |= {"form": form, "rows": rows, "asked": [(row, before.get(row["key"].value(), "")) for row in rows]}
    context["flagged"] = lines_visible_to(request.user).filter(amplifier=place).exclude(life_safety="no").exists()
    return render(request, "equipment/record_correct.html", context, status=422 if form.errors or rows.errors else 200)


def _records(user: User) -> QuerySet[ConfigurationRecord]:
    return records_visible_to(user).select_related("place__site__client", "correction").prefetch_related("settings")


def _crumbs(place: Place) -> Crumbs:
    return [*site_crumbs(place.site), (place.name, place_page(place))]


def _start(record: ConfigurationRecord) -> list[dict[str, str]]:
    return [{"key": each.key, "value": each.value, "unit": each.unit} for each in record.settings.all()]


def _corrected(user: User, record: ConfigurationRecord, rows: SettingRows) -> ConfigurationRecord:
    return correct_record(by=user, record=record, settings=rows.settings())
