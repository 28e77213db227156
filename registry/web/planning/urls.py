"""Addresses of fold plans."""

from django.urls import path

from registry.web.planning import fold_views, plan_views, wired_views

urlpatterns = [
    path("sites/<slug:code>/fold-plan/", fold_views.fold_plan_new, name="fold-plan-new"),
    path("sites/<slug:code>/fold-plan/keep/", fold_views.fold_plan_keep, name="fold-plan-keep"),
    path("sites/<slug:code>/fold-plans/", plan_views.fold_plans, name="fold-plans"),
    path("sites/<slug:code>/fold-plans/compare/", plan_views.fold_plan_compare, name="fold-plan-compare"),
    path("fold-plans/<int:pk>/", plan_views.fold_plan, name="fold-plan"),
    path("fold-plans/<int:pk>/accept/", plan_views.fold_plan_accept, name="fold-plan-accept"),
    path("fold-plans/<int:pk>/reject/", plan_views.fold_plan_reject, name="fold-plan-reject"),
    path("fold-plans/<int:pk>/wiring/", plan_views.fold_plan_wiring, name="fold-plan-wiring"),
    path("fold-plans/<int:pk>/wired/", wired_views.fold_plan_wired, name="fold-plan-wired"),
    path("fold-plans/<int:pk>/survey/", plan_views.fold_plan_survey, name="fold-plan-survey"),
]
