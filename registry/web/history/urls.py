"""The address of the history; what it is of stands in its query."""

from django.urls import path

from registry.web.history import views

urlpatterns = [
    path("history/", views.history, name="history"),
]
