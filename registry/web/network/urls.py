"""Addresses of network sweeps."""

from django.urls import path

from registry.web.network import views

urlpatterns = [
    path("sites/<slug:code>/network/", views.site_network, name="site-network"),
    path("sites/<slug:code>/network/import/", views.sweep_import, name="sweep-import"),
    path("sites/<slug:code>/network/import/<slug:digest>/", views.sweep_preview, name="sweep-preview"),
    path("items/<int:pk>/seen-address/", views.item_seen_address, name="item-seen-address"),
]
