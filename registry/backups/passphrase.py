"""The passphrase of sealed backups: from a file or the environment, never from the command line, which all can see."""

from argparse import ArgumentParser
from pathlib import Path

from django.conf import settings

from registry.backups.errors import BackupError


def add_passphrase_argument(parser: ArgumentParser) -> None:
    """Let a command take the file of a passphrase."""
    parser.add_argument(
        "--passphrase-file",
        type=Path,
        metavar="FILE",
        help="seal or open with the first line of FILE; without it, EVENKEEL_BACKUP_PASSPHRASE when it is set",
    )


def passphrase_of(file: Path | None) -> str:
    """Return the passphrase, or nothing when backups aren't sealed."""
    if file is None:
        return str(settings.BACKUP_PASSPHRASE)
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BackupError(f"the passphrase can't be read from {file}: {error}") from error
    if not lines or not lines[0]:
        raise BackupError(f"the first line of {file} is empty: write the passphrase there")
    return lines[0]
