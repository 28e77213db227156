"""Addresses of surveys."""

from django.urls import path

from registry.web.exchange import views

urlpatterns = [
    path("survey/import/", views.survey_import, name="survey-import"),
    path("survey/import/<slug:digest>/", views.survey_preview, name="survey-preview"),
    path("sites/<slug:code>/survey/", views.survey_export, name="survey-export"),
]
