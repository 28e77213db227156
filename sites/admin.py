"""Stewards' tables of people, clients and sites."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.http import HttpRequest

from sites.models import AccountEvent, Client, HistoryEntry, Membership, Rack, Site, Space, User
from sites.stewards import Edited, ModelAdmin, ReadOnly, Removable, stewards


@admin.register(User, site=stewards)
class People(UserAdmin):  # type: ignore[type-arg]
    """People who sign in, with their role."""

    list_display = ("username", "first_name", "last_name", "role", "is_active", "is_superuser")
    list_filter = ("role", "is_active", "is_superuser")
    fieldsets = (*(UserAdmin.fieldsets or ()), ("Register", {"fields": ("role",)}))
    add_fieldsets = (*UserAdmin.add_fieldsets, ("Register", {"fields": ("role",)}))


@admin.register(Membership, site=stewards)
class Memberships(ModelAdmin):
    """Which owner sees which client."""

    list_display = ("user", "client")
    list_filter = ("client",)
    autocomplete_fields = ("user", "client")


@admin.register(Client, site=stewards)
class Clients(Edited):
    """Businesses that pay."""

    list_display = ("name", "contact", "phone")
    search_fields = ("name", "contact")


@admin.register(Site, site=stewards)
class Sites(Edited):
    """Addresses of clients."""

    list_display = ("name", "code", "client", "voice_alarm")
    list_filter = ("voice_alarm", "client")
    search_fields = ("name", "code")
    list_select_related = ("client",)

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> tuple[str, ...]:
        """Keep a site with its client: its history would change owner with it."""
        return ("client",) if obj else ()


@admin.register(Space, site=stewards)
class Spaces(Removable):
    """Rooms and outdoor areas."""

    list_display = ("name", "site", "ceiling_m", "area_m2")
    search_fields = ("name", "site__name")
    list_select_related = ("site",)


@admin.register(Rack, site=stewards)
class Racks(Removable):
    """Enclosures."""

    list_display = ("name", "site", "height_u", "circuit_a")
    search_fields = ("name", "site__name")
    list_select_related = ("site",)


@admin.register(HistoryEntry, site=stewards)
class History(ReadOnly):
    """Every row written."""

    list_display = ("at", "by", "deed", "kind", "object_id", "site", "way", "name", "address")
    list_filter = ("way", "deed", "kind")
    list_select_related = ("by", "site")


@admin.register(AccountEvent, site=stewards)
class AccountEvents(ReadOnly):
    """What happened to accounts."""

    list_display = ("at", "user", "what", "by", "detail")
    list_filter = ("what",)
    list_select_related = ("user", "by")
