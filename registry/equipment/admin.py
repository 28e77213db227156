"""Stewards' tables of the catalogue, places, items and configuration records."""

from django.contrib import admin

from registry.equipment.models import (
    ConfigurationRecord,
    Document,
    HostObservation,
    Item,
    Make,
    MakeModel,
    NetworkSweep,
    Place,
    Setting,
    Withdrawal,
)
from sites.stewards import ModelAdmin, ReadOnly, Removable, stewards


@admin.register(Make, site=stewards)
class Makes(ModelAdmin):
    """Who makes things."""

    search_fields = ("name",)


@admin.register(MakeModel, site=stewards)
class Models(Removable):
    """What makers sell."""

    list_display = ("name", "make", "kind", "rack_units", "max_w")
    list_filter = ("kind", "make")
    search_fields = ("name", "make__name")
    list_select_related = ("make",)


@admin.register(Place, site=stewards)
class Places(Removable):
    """Where items do their work."""

    list_display = ("name", "site", "rack", "position_u", "ip")
    search_fields = ("name", "site__name", "hostname")
    list_select_related = ("site", "rack")


@admin.register(Item, site=stewards)
class Items(ReadOnly):
    """Pieces of equipment; one that is gone has the state removed, and is not deleted."""

    list_display = ("tag", "site", "make_model", "serial", "status", "warranty_until")
    list_filter = ("status", "make_model__kind")
    search_fields = ("tag", "serial", "mac", "site__name")
    list_select_related = ("site", "make_model__make")


@admin.register(ConfigurationRecord, site=stewards)
class ConfigurationRecords(ReadOnly):
    """Settings that were read at one time: facts."""

    list_display = ("place", "state", "taken_at", "recorded_by")
    list_filter = ("state",)
    search_fields = ("place__name", "place__site__name")
    list_select_related = ("place", "recorded_by")


@admin.register(Setting, site=stewards)
class Settings(ReadOnly):
    """Single settings in those records: facts."""

    list_display = ("key", "value", "unit", "record")
    search_fields = ("key", "value")
    list_select_related = ("record__place",)


@admin.register(NetworkSweep, site=stewards)
class NetworkSweeps(ReadOnly):
    """Network sweeps that were accepted: facts."""

    list_display = ("site", "swept_at", "source", "recorded_by")
    list_select_related = ("site", "recorded_by")


@admin.register(Document, site=stewards)
class Documents(ReadOnly):
    """Documents as they were sent: facts."""

    list_display = ("title", "site", "kind", "name", "uploaded_at")
    list_filter = ("kind",)
    search_fields = ("title", "site__name", "sha256")
    list_select_related = ("site",)


@admin.register(HostObservation, site=stewards)
class HostObservations(ReadOnly):
    """Hosts that a sweep saw: facts."""

    list_display = ("mac", "ip", "hostname", "sweep")
    search_fields = ("mac", "ip", "hostname")
    list_select_related = ("sweep__site",)


@admin.register(Withdrawal, site=stewards)
class Withdrawals(ReadOnly):
    """Why a document is no longer shown: facts."""

    list_display = ("document", "purged", "reason", "recorded_by", "recorded_at")
    list_select_related = ("document", "recorded_by")
