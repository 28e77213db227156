"""Addresses of documents and of references to secrets."""

from django.urls import path

from registry.web.documents import reference_views, views

urlpatterns = [
    path("sites/<slug:code>/documents/", views.site_documents, name="site-documents"),
    path("sites/<slug:code>/documents/new/", views.document_new, name="document-new"),
    path("documents/<int:pk>/file/", views.document_file, name="document-file"),
    path("documents/<int:pk>/new-version/", views.document_new_version, name="document-new-version"),
    path("documents/<int:pk>/withdraw/", views.document_withdraw, name="document-withdraw"),
    path("documents/<int:pk>/purge/", views.document_purge, name="document-purge"),
    path("sites/<slug:code>/references/new/", reference_views.reference_new, name="reference-new"),
    path("references/<int:pk>/edit/", reference_views.reference_edit, name="reference-edit"),
    path("references/<int:pk>/remove/", reference_views.reference_remove, name="reference-remove"),
]
