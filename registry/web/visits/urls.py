"""Addresses of visits and findings."""

from django.urls import path

from registry.web.visits import (
    closing_views,
    finding_views,
    guest_views,
    keeping_views,
    report_views,
    task_views,
    views,
)

VISIT = "visits/<int:pk>/"
FINDING = "findings/<int:pk>/"
GUEST = "guests/<str:token>/"

urlpatterns = [
    path(VISIT, views.visit, name="visit"),
    path(f"{VISIT}begin/", views.begin, name="visit-begin"),
    path(f"{VISIT}tasks/<int:task>/", task_views.task, name="visit-task"),
    path(f"{VISIT}tasks/<int:task>/level/", task_views.level, name="visit-level"),
    path(f"{VISIT}tasks/<int:task>/impedance/", task_views.impedance, name="visit-impedance"),
    path(f"{VISIT}photos/new/", keeping_views.photo_new, name="visit-photo-new"),
    path("visit-photos/<int:pk>/", keeping_views.photo, name="visit-photo"),
    path(f"{VISIT}parts/new/", keeping_views.part_new, name="visit-part-new"),
    path("parts-used/<int:pk>/correct/", keeping_views.part_correct, name="part-correct"),
    path(f"{VISIT}close/", closing_views.close, name="visit-close"),
    path(f"{VISIT}addenda/new/", closing_views.addendum, name="visit-addendum"),
    path(f"{VISIT}report/", report_views.report, name="visit-report"),
    path(f"{VISIT}report.pdf", report_views.report_pdf, name="visit-report-pdf"),
    path(f"{VISIT}findings/new/", finding_views.finding_at_visit, name="visit-finding-new"),
    path(f"{VISIT}guests/", guest_views.links, name="visit-guests"),
    path("guest-links/<int:pk>/revoke/", guest_views.revoke, name="guest-link-revoke"),
    path(GUEST, guest_views.report, name="guest-report"),
    path(f"{GUEST}report.pdf", guest_views.report_pdf, name="guest-report-pdf"),
    path(f"{GUEST}photos/<int:pk>/", guest_views.photo, name="guest-photo"),
    path("sites/<slug:code>/findings/new/", finding_views.finding_new, name="finding-new"),
    path("findings/", finding_views.findings, name="findings"),
    path(FINDING, finding_views.finding, name="finding"),
    path(f"{FINDING}edit/", finding_views.edit, name="finding-edit"),
    path(f"{FINDING}close/", finding_views.close, name="finding-close"),
    path(f"{FINDING}open-again/", finding_views.open_again, name="finding-open-again"),
]
