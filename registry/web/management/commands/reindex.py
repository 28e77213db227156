"""`manage.py reindex`."""

from typing import Any

from django.core.management.base import BaseCommand

from registry.search.indexing import reindex


class Command(BaseCommand):
    """Make the index of the search anew."""

    help = "Make the index of the search anew: after rows were loaded past the program, or a kind was added."

    def handle(self, *args: Any, **options: Any) -> None:
        """Say how many things can be found."""
        self.stdout.write(f"{reindex()} things can be found.")
