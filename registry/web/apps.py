"""The app of the pages."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """Pages, their static files and their template tags."""

    name = "registry.web"
    verbose_name = "Pages"

    def ready(self) -> None:
        """Connect what a sign-in leaves behind, and let fields speak plainly."""
        import registry.web.accounts.arrivals  # noqa: F401 (its receivers connect themselves)
        from registry.web.plain_errors import speak_plainly

        speak_plainly()
