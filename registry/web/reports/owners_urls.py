"""Addresses of the owner's report."""

from django.urls import path

from registry.web.reports import owners_views

CLIENT = "clients/<int:pk>/owners-report"
SITE = "sites/<slug:code>/owners-report"

urlpatterns = [
    path(f"{CLIENT}/", owners_views.client_page, name="owners-report-client"),
    path(f"{CLIENT}.pdf", owners_views.client_pdf, name="owners-report-client-pdf"),
    path(f"{CLIENT}.xlsx", owners_views.client_xlsx, name="owners-report-client-xlsx"),
    path(f"{CLIENT}/record/", owners_views.client_record, name="owners-report-client-record"),
    path(f"{SITE}/", owners_views.site_page, name="owners-report-site"),
    path(f"{SITE}.pdf", owners_views.site_pdf, name="owners-report-site-pdf"),
    path(f"{SITE}.xlsx", owners_views.site_xlsx, name="owners-report-site-xlsx"),
    path(f"{SITE}/record/", owners_views.site_record, name="owners-report-site-record"),
]
