"""Addresses of tokens."""

from django.urls import path

from registry.web.tokens import views

urlpatterns = [
    path("tokens/", views.tokens, name="tokens"),
    path("tokens/new/", views.token_new, name="token-new"),
    path("tokens/<int:pk>/revoke/", views.token_revoke, name="token-revoke"),
]
