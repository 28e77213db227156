"""`manage.py import_survey FOLDER [--dry-run]`."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from registry.exchange.folder import SurveyRefusedError, files_of_folder, files_of_zip
from registry.exchange.importing import Imported, import_survey


class Command(BaseCommand):
    """Write a survey folder into the register: all of it, or nothing and every fault by file, line and column."""

    help = "Import a survey folder (or a zip of one). All of it or nothing; importing twice changes nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the folder and the dry run."""
        parser.add_argument("folder", type=Path, help="folder of CSV files, or a zip of one")
        parser.add_argument("--dry-run", action="store_true", help="say what would change, and change nothing")

    def handle(self, *args: Any, folder: Path, dry_run: bool, **options: Any) -> None:
        """Import and say what changed."""
        try:
            if folder.suffix.lower() == ".zip" and folder.is_file():
                files = files_of_zip(folder.read_bytes(), most_bytes=settings.SURVEY_MAX_BYTES)
            else:
                files = files_of_folder(folder, most_bytes=settings.SURVEY_MAX_BYTES)
            imported = import_survey(files, by=None, dry_run=dry_run)
        except SurveyRefusedError as refused:
            raise CommandError("\n".join(str(problem) for problem in refused.problems), returncode=2) from refused
        self._say(imported, dry_run=dry_run)

    def _say(self, imported: Imported, *, dry_run: bool) -> None:
        for change in imported.changes if dry_run else []:
            self.stdout.write(
                f"{change.where}: {'new' if change.new else 'changed'} {change.what} {change.name}".rstrip()
            )
            for name, before, after in change.fields:
                self.stdout.write(f"    {name}: {before!r} -> {after!r}")
        would = "would be " if dry_run else ""
        self.stdout.write(
            f"{imported.rows} rows read: {imported.new} {would}new, {imported.changed} {would}changed."
            + (" Nothing was written." if dry_run else "")
        )
