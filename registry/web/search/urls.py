"""The address of the search."""

from django.urls import path

from registry.web.search.views import search

urlpatterns = [path("search/", search, name="search")]
