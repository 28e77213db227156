"""The app of the pages."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Pages, their static files and their template tags."""

    name = "registry.web"
    verbose_name = "Pages"
