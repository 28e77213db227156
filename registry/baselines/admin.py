"""Stewards' tables of readings, baselines and restores: all to be read only."""

from django.contrib import admin

from registry.baselines.models import Baseline, Reading, Restore
from sites.stewards import ReadOnly, stewards


@admin.register(Reading, site=stewards)
class Readings(ReadOnly):
    """Measured levels: facts."""

    list_display = ("zone", "level_db", "state", "taken_at", "recorded_by")
    list_filter = ("state", "meter_class")
    search_fields = ("zone__name", "zone__site__name")
    list_select_related = ("zone", "recorded_by")


@admin.register(Baseline, site=stewards)
class Baselines(ReadOnly):
    """Agreed states: facts."""

    list_display = ("site", "number", "frozen_at", "author", "reason")
    search_fields = ("site__name", "reason")
    list_select_related = ("site", "author")


@admin.register(Restore, site=stewards)
class Restores(ReadOnly):
    """Runs through a restore sheet."""

    list_display = ("site", "baseline", "started_at", "started_by", "signed_at")
    search_fields = ("site__name",)
    list_select_related = ("site", "baseline__site", "started_by")
