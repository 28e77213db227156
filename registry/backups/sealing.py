"""A file sealed with a passphrase: scrypt makes the key, AES-GCM seals it chunk by chunk, in bounded memory.

The chunks follow the STREAM construction of Hoang, Reyhanitabar, Rogaway and Vizár, "Online authenticated-encryption
and its nonce-reuse misuse-resistance" (2015): the number of a chunk and whether it is the last one are part of its
nonce, so none can be dropped, moved or cut off unnoticed. The cipher and the key derivation are the library's.
"""

import io
import secrets
from typing import BinaryIO, Final

from registry.backups.errors import BackupError

MAGIC: Final = b"evenkeel sealed 1\n"
SALT: Final = 16
PREFIX: Final = 7
TAG: Final = 16
CHUNK: Final = 1024 * 1024
SHORTEST: Final = 12
COST: Final = {"n": 2**17, "r": 8, "p": 1}  # 128 MiB for a moment, as OWASP advises for scrypt
WRONG: Final = "this backup doesn't open: the passphrase is another one, or the file was altered or cut off"


def is_sealed(source: BinaryIO) -> bool:
    """Return whether a file begins like a sealed one; its position stays where it is."""
    at = source.tell()
    beginning = source.read(len(MAGIC))
    source.seek(at)
    return beginning == MAGIC


class SealedWriter(io.RawIOBase):
    """Seals what is written to it into `sink`; `close` seals the last chunk and leaves `sink` open."""

    def __init__(self, sink: BinaryIO, passphrase: str) -> None:
        super().__init__()
        header = MAGIC + secrets.token_bytes(SALT + PREFIX)
        self._seal = _Chunks(header, passphrase)
        self._sink, self._waiting = sink, bytearray()
        sink.write(header)

    def writable(self) -> bool:
        """Return that it is for writing."""
        return True

    def write(self, data: bytes) -> int:  # type: ignore[override]
        """Seal every chunk that is full and surely not the last one."""
        self._waiting += data
        while len(self._waiting) > CHUNK:
            self._sink.write(self._seal.sealed(bytes(self._waiting[:CHUNK]), last=False))
            del self._waiting[:CHUNK]
        return len(data)

    def close(self) -> None:
        """Seal the last chunk."""
        if not self.closed:
            self._sink.write(self._seal.sealed(bytes(self._waiting), last=True))
        super().close()


class SealedReader(io.RawIOBase):
    """Gives back what was sealed; raises BackupError at the first chunk that isn't as it was."""

    def __init__(self, source: BinaryIO, passphrase: str) -> None:
        super().__init__()
        header = source.read(len(MAGIC) + SALT + PREFIX)
        self._source, self._opened, self._next = source, b"", source.read(CHUNK + TAG)
        if not self._next:  # even an empty file has one chunk
            raise BackupError(WRONG)
        self._seal = _Chunks(header, passphrase)

    def readable(self) -> bool:
        """Return that it is for reading."""
        return True

    def readinto(self, buffer: bytearray) -> int:  # type: ignore[override]
        """Fill the buffer with what comes next."""
        while not self._opened and self._next:
            sealed, self._next = self._next, self._source.read(CHUNK + TAG)
            self._opened = self._seal.opened(sealed, last=not self._next)
        given, self._opened = self._opened[: len(buffer)], self._opened[len(buffer) :]
        buffer[: len(given)] = given
        return len(given)


class _Chunks:
    """The key of one file, and the number of the chunk that comes next."""

    def __init__(self, header: bytes, passphrase: str) -> None:
        if len(passphrase) < SHORTEST:
            raise BackupError(f"a passphrase needs {SHORTEST} characters or more")
        try:
            from cryptography.hazmat.primitives.ciphers.aead import AESGCM
            from cryptography.hazmat.primitives.kdf.scrypt import Scrypt
        except ImportError as error:
            raise BackupError("sealed backups need the extra: pip install '.[sealed]'") from error
        salt = header[len(MAGIC) : len(MAGIC) + SALT]
        self._cipher = AESGCM(Scrypt(salt=salt, length=32, **COST).derive(passphrase.encode()))
        self._header, self._prefix, self._number = header, header[-PREFIX:], 0

    def sealed(self, plain: bytes, *, last: bool) -> bytes:
        return self._cipher.encrypt(self._nonce(last), plain, self._header)

    def opened(self, sealed: bytes, *, last: bool) -> bytes:
        from cryptography.exceptions import InvalidTag

        try:
            return self._cipher.decrypt(self._nonce(last), sealed, self._header)
        except InvalidTag as error:
            raise BackupError(WRONG) from error

    def _nonce(self, last: bool) -> bytes:
        number, self._number = self._number, self._number + 1
        return self._prefix + number.to_bytes(4, "big") + bytes([last])
