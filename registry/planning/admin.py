"""Stewards' tables of fold plans and commissioning: all to be read only."""

from django.apps import apps
from django.contrib import admin

from registry.planning.models import Commissioning, CommissioningStep, SpotPhoto, ZoneTarget
from sites.facts import Fact
from sites.stewards import ReadOnly, stewards


class PlanningFacts(ReadOnly):
    """Any fact of planning; its rows say themselves what they are."""

    list_select_related = True


for model in apps.get_app_config("planning").get_models():
    if issubclass(model, Fact):
        stewards.register(model, PlanningFacts)


@admin.register(Commissioning, site=stewards)
class Commissionings(ReadOnly):
    """Runs through a site."""

    list_display = ("site", "started_at", "started_by", "baseline", "closed_at")
    search_fields = ("site__name",)
    list_select_related = ("site", "started_by", "baseline__site")


@admin.register(CommissioningStep, site=stewards)
class CommissioningSteps(ReadOnly):
    """Answers to the steps of runs."""

    list_display = ("commissioning", "key", "done", "could_not", "changed_by", "changed_at")
    search_fields = ("commissioning__site__name", "key")
    list_select_related = ("commissioning__site", "changed_by")


@admin.register(ZoneTarget, site=stewards)
class ZoneTargets(ReadOnly):
    """Levels that zones were matched to."""

    list_display = ("zone", "wanted_db", "changed_by", "changed_at")
    search_fields = ("zone__name", "zone__site__name")
    list_select_related = ("zone", "changed_by")


@admin.register(SpotPhoto, site=stewards)
class SpotPhotos(ReadOnly):
    """Photos of spots; a page that knows who may look shows them."""

    list_display = ("zone", "spot", "taken_by", "taken_at")
    search_fields = ("zone__name", "zone__site__name")
    list_select_related = ("zone", "taken_by")
    exclude = ("image",)
