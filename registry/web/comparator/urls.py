"""Addresses of the comparator."""

from django.urls import path

from registry.web.comparator import views

urlpatterns = [
    path("comparator/", views.comparator, name="comparator"),
    path("zones/<int:pk>/comparator/", views.zone_comparator, name="zone-comparator"),
]
