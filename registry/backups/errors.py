"""What goes wrong with backups."""


class BackupError(ValueError):
    """Raised when a backup can't be made or brought back; it says why, and what to do."""
