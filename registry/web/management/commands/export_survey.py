"""`manage.py export_survey SITE FOLDER`."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from registry.exchange.exporting import export_survey
from sites.queries import site_by_code


class Command(BaseCommand):
    """Write a site as a survey folder."""

    help = "Export a site as a survey folder."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the site's code and the folder."""
        parser.add_argument("site", help="short code of the site")
        parser.add_argument("folder", type=Path, help="folder to write into; it is made if it is missing")

    def handle(self, *args: Any, site: str, folder: Path, **options: Any) -> None:
        """Export and say where to."""
        try:
            files = export_survey(site_by_code(site))
            folder.mkdir(parents=True, exist_ok=True)
            for name, content in files.items():
                (folder / name).write_bytes(content)
        except (ValueError, OSError) as error:
            raise CommandError(str(error), returncode=2) from error
        self.stdout.write(f"{len(files)} files written to {folder}.")
