"""Stewards' tables of zones, lines and loudspeakers."""

from typing import Any

from django.contrib import admin
from django.db.models import QuerySet
from django.http import HttpRequest

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Coil, Line, Loudspeaker, Zone
from sites.stewards import Removable, stewards


@admin.register(Zone, site=stewards)
class Zones(Removable):
    """Loudspeakers meant to have the same programme and level."""

    list_display = ("name", "site", "drift", "drift_db", "tolerance_db")
    list_filter = ("drift",)
    search_fields = ("name", "site__name")
    list_select_related = ("site",)


@admin.register(Line, site=stewards)
class Lines(Removable):
    """Everything wired to one channel."""

    list_display = ("name", "site", "amplifier", "channel", "kind", "life_safety", "verdict")
    list_filter = ("verdict", "life_safety", "kind")
    search_fields = ("name", "site__name")
    list_select_related = ("site", "amplifier")


class Judged(Removable):
    """A table whose rows hang on lines: when one is taken out, those lines are judged anew.

    `coils_by` finds the coils that go with a row.
    """

    coils_by = "pk__in"

    def delete_model(self, request: HttpRequest, obj: Any) -> None:
        """Delete one."""
        self.delete_queryset(request, self.model.objects.filter(pk=obj.pk))

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[Any]) -> None:
        """Delete several, then judge the lines that they were on."""
        coils = Coil.objects.filter(**{self.coils_by: queryset.values("pk")})
        lines = list(coils.values_list("line_id", flat=True))
        for row in queryset:
            row.delete()
        refresh_verdicts(Line.objects.filter(pk__in=lines))


@admin.register(Loudspeaker, site=stewards)
class Loudspeakers(Judged):
    """Drivers and cabinets; their coils go with them."""

    coils_by = "loudspeaker__in"
    list_display = ("label", "site", "zone", "make_model")
    search_fields = ("label", "site__name")
    list_select_related = ("site", "zone", "make_model__make")


@admin.register(Coil, site=stewards)
class Coils(Judged):
    """Which coil hangs on which line."""

    list_display = ("loudspeaker", "coil", "line", "string", "order", "tap_w")
    search_fields = ("loudspeaker__label", "line__name")
    list_select_related = ("loudspeaker", "line")
