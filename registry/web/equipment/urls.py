"""Addresses of items, places, settings and the catalogue."""

from django.urls import path

from registry.web.equipment import model_views, place_views, record_views, views

urlpatterns = [
    path("equipment/", views.equipment, name="equipment"),
    path("sites/<slug:code>/items/new/", views.item_new, name="item-new"),
    path("items/<int:pk>/", views.item, name="item"),
    path("items/<int:pk>/edit/", views.item_edit, name="item-edit"),
    path("sites/<slug:code>/places/new/", place_views.place_new, name="place-new"),
    path("places/<int:pk>/", place_views.place, name="place"),
    path("places/<int:pk>/edit/", place_views.place_edit, name="place-edit"),
    path("places/<int:pk>/settings/new/", place_views.settings_new, name="record-settings"),
    path("records/<int:pk>/correct/", record_views.record_correct, name="record-correct"),
    path("models/", model_views.models, name="models"),
    path("models/new/", model_views.model_new, name="model-new"),
    path("models/<int:pk>/", model_views.model, name="model"),
    path("models/<int:pk>/edit/", model_views.model_edit, name="model-edit"),
]
