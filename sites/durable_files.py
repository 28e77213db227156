"""Files that survive a power cut: when a row is told as saved, the file that it names is on the disk as well."""

import os
from pathlib import Path
from typing import Any

from django.core.files.storage import FileSystemStorage


class DurableFiles(FileSystemStorage):
    """Django's storage in a folder; a file is forced to the disk before its name is given back."""

    def save(self, name: str | None, content: Any, max_length: int | None = None) -> str:
        """Keep a file, wait for the disk, and return its name."""
        kept = super().save(name, content, max_length)
        force_to_disk(Path(self.path(kept)))
        return kept


def force_to_disk(path: Path) -> None:
    """Wait until a file is on the disk, and its name in the folder too."""
    for each in (path, path.parent):
        handle = os.open(each, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
