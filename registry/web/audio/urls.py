"""Addresses of lines, coils, zones and readings."""

from django.urls import path

from registry.web.audio import adding_views, coil_views, line_views, reading_views, what_if_views, zone_views

urlpatterns = [
    path("lines/", line_views.lines, name="lines"),
    path("lines/<int:pk>/", line_views.line, name="line"),
    path("lines/<int:pk>/edit/", line_views.line_edit, name="line-edit"),
    path("lines/<int:pk>/what-if/", what_if_views.line_what_if, name="line-what-if"),
    path("lines/<int:pk>/life-safety/", line_views.line_life_safety, name="line-life-safety"),
    path("lines/<int:pk>/coils/new/", adding_views.coil_new, name="coil-new"),
    path("sites/<slug:code>/lines/new/", adding_views.line_new, name="line-new"),
    path("coils/<int:pk>/edit/", coil_views.coil_edit, name="coil-edit"),
    path("coils/<int:pk>/disconnect/", coil_views.coil_disconnect, name="coil-disconnect"),
    path("zones/", zone_views.zones, name="zones"),
    path("zones/<int:pk>/", zone_views.zone, name="zone"),
    path("zones/<int:pk>/edit/", zone_views.zone_edit, name="zone-edit"),
    path("sites/<slug:code>/zones/new/", zone_views.zone_new, name="zone-new"),
    path("zones/<int:pk>/readings/new/", reading_views.reading_new, name="reading-new"),
    path("readings/<int:pk>/correct/", reading_views.reading_correct, name="reading-correct"),
]
