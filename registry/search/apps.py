"""The app that keeps the index of the search up to date."""

from django.apps import AppConfig


class SearchConfig(AppConfig):
    """One entry for each thing that can be found."""

    name = "registry.search"
    verbose_name = "Search"

    def ready(self) -> None:
        """Follow what is written, and fill an index that is empty after `migrate`."""
        from registry.search.following import follow

        follow(self)
