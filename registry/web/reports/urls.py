"""Addresses of what is printed."""

from django.urls import path

from registry.web.reports import owners_urls, views

urlpatterns = [
    path("sites/<slug:code>/door-card/", views.door_card_page, name="door-card-page"),
    path("sites/<slug:code>/door-card.pdf", views.door_card, name="door-card"),
    path("sites/<slug:code>/labels/", views.labels, name="labels"),
    path("sites/<slug:code>/labels.pdf", views.labels_pdf, name="labels-pdf"),
    path("baselines/<int:pk>/restore-sheet.pdf", views.restore_sheet_pdf, name="restore-sheet-pdf"),
    path("fold-plans/<int:pk>/wiring-sheet.pdf", views.wiring_sheet_pdf, name="wiring-sheet-pdf"),
    *owners_urls.urlpatterns,
]
