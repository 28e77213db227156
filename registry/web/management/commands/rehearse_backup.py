"""`manage.py rehearse_backup [FILE|FOLDER]`: for a timer. One line, and an exit status that a monitor understands."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from registry.backups.rehearsing import rehearse
from registry.web.management.backup_command import BackupCommand


class Command(BackupCommand):
    """Bring a backup back into a scratch database, compare all of it, remove the scratch."""

    help = "Bring a backup (the newest in FOLDER; without either, one made now) back into a scratch database, compare."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take which backup."""
        super().add_arguments(parser)
        parser.add_argument("where", type=Path, nargs="?", metavar="FILE|FOLDER")

    def act(self, *, passphrase: str, **options: Any) -> None:
        """Rehearse and say so in one line."""
        done = rehearse(options["where"], passphrase=passphrase)
        if done.lost:
            raise CommandError(f"{len(done.lost)} files that rows name are gone, the first is {done.lost[0]}")
        said = f"{self.told(done.manifest)}, in {done.seconds:.1f} s"
        self.stdout.write(f"Rehearsed the backup of {done.manifest.made_at}: every row and file the same; {said}")
