"""Addresses of what a phone keeps and sends. The worker's own lies at the top, because it serves every page below."""

from django.urls import path

from registry.web.offline import app_views, views

urlpatterns = [
    path("service-worker.js", app_views.worker, name="service-worker"),
    path("manifest.webmanifest", app_views.manifest, name="manifest"),
    path("phone/not-kept/", app_views.not_kept, name="phone-not-kept"),
    path("phone/", views.phone, name="phone"),
    path("phone/state.json", views.state, name="phone-state"),
    path("phone/entries/", views.entries, name="phone-entries"),
    path("sites/<slug:code>/phone.json", views.site_bundle, name="site-bundle"),
]
