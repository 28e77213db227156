"""The first page."""

from django.urls import path

from registry.web.today.views import today

urlpatterns = [path("", today, name="today")]
