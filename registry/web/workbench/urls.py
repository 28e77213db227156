"""Addresses of the Workbench: the query string is the calculation."""

from django.urls import path

from registry.web.workbench import views

urlpatterns = [
    path("workbench/", views.workbench, name="workbench"),
    path("workbench/<slug:name>/", views.calculation, name="calculation"),
    path("workbench/<slug:name>/file/", views.calculation_file, name="calculation-file"),
]
