"""What a backup says of itself: the last file in it, so that everything before it can be written as it comes."""

import json
from dataclasses import asdict, dataclass, field
from typing import Any, Final, NamedTuple

from registry.backups.errors import BackupError

FORMAT: Final = 1
NOT_OURS: Final = "the list of contents of this backup can't be read: the file is damaged or no backup"


class Part(NamedTuple):
    """A file in a backup."""

    size: int
    sha256: str


class Table(NamedTuple):
    """A table of the database: its rows, and the digest of all of them in the order of their key."""

    rows: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Content:
    """What a database holds, told the same way when a backup is made and when it was brought back.

    `guards` are the names of its triggers, indexes and constraints: they hold rules that rows alone don't show.
    """

    kind: str
    tables: dict[str, Table]
    guards: list[str]
    migrations: list[str]
    files: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Manifest:
    """A backup's contents. `absent`: files that rows name and that were gone when the backup was made."""

    made_at: str
    version: str
    content: Content
    parts: dict[str, Part]
    absent: list[str]
    format: int = FORMAT

    def to_json(self) -> bytes:
        """Return it as it stands in the backup."""
        return json.dumps(asdict(self), indent=1, ensure_ascii=False).encode()

    @classmethod
    def from_json(cls, text: bytes) -> "Manifest":
        """Read it. Raises BackupError when it is none, or of a newer form."""
        try:
            said: dict[str, Any] = json.loads(text)
            if said["format"] > FORMAT:
                raise BackupError(
                    f"this backup was made by a newer version ({said['version']}): bring it back with that version"
                )
            said["content"]["tables"] = {name: Table(*table) for name, table in said["content"]["tables"].items()}
            said["parts"] = {name: Part(*part) for name, part in said["parts"].items()}
            return cls(**said | {"content": Content(**said["content"])})
        except (KeyError, TypeError, AttributeError, UnicodeDecodeError, json.JSONDecodeError) as error:
            raise BackupError(NOT_OURS) from error
