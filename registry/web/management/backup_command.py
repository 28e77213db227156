"""What the commands about backups share."""

from abc import abstractmethod
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from registry.backups.errors import BackupError
from registry.backups.manifest import Manifest
from registry.backups.passphrase import add_passphrase_argument, passphrase_of


class BackupCommand(BaseCommand):
    """A command that takes a passphrase, and says in one line why it failed."""

    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file of a passphrase."""
        add_passphrase_argument(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it, with the passphrase."""
        try:
            self.act(passphrase=passphrase_of(options["passphrase_file"]), **options)
        except BackupError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(f"{error}: is there room, and may this account write there?") from error

    @abstractmethod
    def act(self, *, passphrase: str, **options: Any) -> None:
        """Do what the command is for."""

    def told(self, manifest: Manifest) -> str:
        """Return a backup's contents in a few words."""
        tables = manifest.content.tables.values()
        size = sum(part.size for part in manifest.parts.values())
        return (
            f"{manifest.content.kind}, {len(tables)} tables, {sum(table.rows for table in tables)} rows, "
            f"{sum(name.startswith('media/') for name in manifest.parts)} files, {size / 1e6:.1f} MB"
        )
