"""Addresses of service calls."""

from django.urls import path

from registry.web.calls import call_views, end_views, list_views, reading_views, take_views

CALL = "calls/<int:pk>/"

urlpatterns = [
    path("calls/", list_views.calls, name="calls"),
    path("calls/new/", take_views.call_new, name="call-new"),
    path("sites/<slug:code>/calls/new/", take_views.site_call_new, name="site-call-new"),
    path(CALL, call_views.call, name="call"),
    path(f"{CALL}edit/", take_views.call_edit, name="call-edit"),
    path(f"{CALL}answered/", call_views.answered, name="call-answered"),
    path(f"{CALL}said/", call_views.said, name="call-said"),
    path(f"{CALL}unsaid/", call_views.unsaid, name="call-unsaid"),
    path(f"{CALL}changed/", call_views.changed, name="call-changed"),
    path(f"{CALL}level/", reading_views.level, name="call-level"),
    path(f"{CALL}impedance/", reading_views.impedance, name="call-impedance"),
    path(f"{CALL}visit/", end_views.visit, name="call-visit"),
    path(f"{CALL}notes/new/", end_views.note, name="call-note"),
    path(f"{CALL}close/", end_views.close, name="call-close"),
]
