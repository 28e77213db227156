"""`manage.py bring_back FILE --into DATABASE_URL`: a backup becomes a register again, and is compared in full."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.files.storage import default_storage

from registry.backups.bringing_back import bring_back, waiting_migrations
from registry.backups.databases import database_at
from registry.web.management.backup_command import BackupCommand
from sites.durable_files import DurableFiles


class Command(BackupCommand):
    """Bring a backup back. (Restore is the word for a site that is brought back to its baseline.)"""

    help = "Bring a backup back into an empty database and compare all of it. Stop the register first."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file and where it goes."""
        super().add_arguments(parser)
        parser.add_argument("file", type=Path, metavar="FILE")
        parser.add_argument("--into", required=True, metavar="DATABASE_URL", help="an empty database")
        parser.add_argument("--media", type=Path, metavar="FOLDER", help="for the files; else EVENKEEL_MEDIA")
        parser.add_argument("--replace", action="store_true", help="replace the database and files that are there")

    def act(self, *, passphrase: str, **options: Any) -> None:
        """Do it and say that it is the same."""
        storage = DurableFiles(location=options["media"]) if options["media"] else default_storage
        manifest = bring_back(
            options["file"],
            into=database_at(options["into"]),
            storage=storage,
            passphrase=passphrase,
            replace=options["replace"],
        )
        self.stdout.write(f"Back as of {manifest.made_at}, every row and file compared: {self.told(manifest)}")
        if waiting := waiting_migrations(manifest):
            self.stdout.write(f"It is from an older version: run manage.py migrate ({waiting} changes wait).")
