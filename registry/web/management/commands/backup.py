"""`manage.py backup FILE|FOLDER`: the whole register in one file, while people work."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from registry.backups.making import make_backup
from registry.web.management.backup_command import BackupCommand


class Command(BackupCommand):
    """Make a backup of the database and the files."""

    help = "Put database, photos and documents into one file, while people work. In a FOLDER it is named by the time."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take where to."""
        super().add_arguments(parser)
        parser.add_argument("where", type=Path, metavar="FILE|FOLDER")

    def act(self, *, passphrase: str, **options: Any) -> None:
        """Make it and say what is in it."""
        made = make_backup(options["where"], passphrase=passphrase)
        self.stdout.write(f"{made.path}: {self.told(made.manifest)}{', sealed' if passphrase else ''}")
        for name in made.lost:
            self.stderr.write(f"A row names {name}, and the file is gone: look for it in an older backup.")
