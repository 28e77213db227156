"""Addresses of baselines and restores."""

from django.urls import path

from registry.web.baselines import drift_views, restore_views, views

urlpatterns = [
    path("sites/<slug:code>/drift/", drift_views.site_drift, name="site-drift"),
    path("sites/<slug:code>/baselines/", views.baselines, name="baselines"),
    path("sites/<slug:code>/baselines/freeze/", views.baseline_freeze, name="baseline-freeze"),
    path("sites/<slug:code>/baselines/compare/", views.baseline_compare, name="baseline-compare"),
    path("baselines/<int:pk>/", views.baseline, name="baseline"),
    path("baselines/<int:pk>/restore-sheet/", views.restore_sheet, name="restore-sheet"),
    path("baselines/<int:pk>/restore/", restore_views.restore_start, name="restore-start"),
    path("restores/<int:pk>/", restore_views.restore, name="restore"),
    path("restores/<int:pk>/step/", restore_views.restore_step, name="restore-step"),
    path("restores/<int:pk>/group/", restore_views.restore_group, name="restore-group"),
    path("restores/<int:pk>/reading/", restore_views.restore_reading, name="restore-reading"),
    path("restores/<int:pk>/sign/", restore_views.restore_sign, name="restore-sign"),
]
