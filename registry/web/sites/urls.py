"""Addresses of clients, sites, spaces and racks."""

from django.urls import path

from registry.web.sites import room_views, views

urlpatterns = [
    path("clients/", views.clients, name="clients"),
    path("clients/new/", views.client_new, name="client-new"),
    path("clients/<int:pk>/", views.client, name="client"),
    path("clients/<int:pk>/edit/", views.client_edit, name="client-edit"),
    path("clients/<int:pk>/sites/new/", views.site_new, name="site-new"),
    path("sites/", views.sites, name="sites"),
    path("sites/<slug:code>/", views.site, name="site"),
    path("sites/<slug:code>/edit/", views.site_edit, name="site-edit"),
    path("sites/<slug:code>/spaces/new/", room_views.space_new, name="space-new"),
    path("sites/<slug:code>/racks/new/", room_views.rack_new, name="rack-new"),
    path("spaces/<int:pk>/edit/", room_views.space_edit, name="space-edit"),
    path("racks/<int:pk>/", room_views.rack, name="rack"),
    path("racks/<int:pk>/edit/", room_views.rack_edit, name="rack-edit"),
]
