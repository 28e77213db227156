"""What is sealed opens unchanged, and never when it was touched."""

import io
from pathlib import Path

import pytest

from registry.backups import sealing
from registry.backups.errors import BackupError
from registry.backups.passphrase import passphrase_of
from registry.backups.sealing import SealedReader, SealedWriter, is_sealed
from tests.backups.conftest import PASSPHRASE

CHUNK = 64
HEADER = len(sealing.MAGIC) + sealing.SALT + sealing.PREFIX
ONE = CHUNK + sealing.TAG


@pytest.fixture(autouse=True)
def _small_chunks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sealing, "CHUNK", CHUNK)


def seal(data: bytes) -> bytes:
    sink = io.BytesIO()
    with SealedWriter(sink, PASSPHRASE) as writer:
        for at in range(0, len(data), 50):
            writer.write(data[at : at + 50])
    return sink.getvalue()


def open_(sealed: bytes, passphrase: str = PASSPHRASE) -> bytes:
    return io.BufferedReader(SealedReader(io.BytesIO(sealed), passphrase)).read()


@pytest.mark.parametrize("size", [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 3 * CHUNK, 1000])
def test_what_is_sealed_opens(size: int) -> None:
    data = bytes(range(256)) * 4
    sealed = seal(data[:size])
    assert open_(sealed) == data[:size]
    assert is_sealed(io.BytesIO(sealed))
    assert data[:20] not in sealed


def test_two_seals_of_the_same_differ() -> None:
    assert seal(b"same") != seal(b"same")


def test_a_file_that_is_cut_off_anywhere_does_not_open() -> None:
    sealed = seal(b"x" * 200)
    for length in range(len(sealed)):
        with pytest.raises(BackupError):
            open_(sealed[:length])


def test_a_bit_that_changed_anywhere_is_noticed() -> None:
    sealed = seal(b"x" * 100)
    for at in range(len(sealing.MAGIC), len(sealed)):
        with pytest.raises(BackupError, match="altered or cut off"):
            open_(sealed[:at] + bytes([sealed[at] ^ 1]) + sealed[at + 1 :])


def test_chunks_keep_their_order_and_their_file() -> None:
    sealed, other = seal(b"a" * 128 + b"b"), seal(b"a" * 128 + b"b")
    first, second = sealed[HEADER : HEADER + ONE], sealed[HEADER + ONE : HEADER + 2 * ONE]
    rest = sealed[HEADER + 2 * ONE :]
    for forged in (second + first + rest, first + rest, first + first + rest, first + second + rest + rest):
        with pytest.raises(BackupError):
            open_(sealed[:HEADER] + forged)
    with pytest.raises(BackupError):
        open_(other[:HEADER] + first + second + rest)


def test_another_passphrase_does_not_open_it() -> None:
    with pytest.raises(BackupError, match="the passphrase is another one"):
        open_(seal(b"x"), "correct horse, another")


def test_the_passphrase_comes_from_a_file_or_the_settings(tmp_path: Path, settings: object) -> None:
    file = tmp_path / "passphrase"
    file.write_text(f"{PASSPHRASE}\n", encoding="utf-8")
    assert passphrase_of(file) == PASSPHRASE
    file.write_text("", encoding="utf-8")
    with pytest.raises(BackupError, match="is empty"):
        passphrase_of(file)
    with pytest.raises(BackupError, match="can't be read"):
        passphrase_of(tmp_path / "none")
    settings.BACKUP_PASSPHRASE = "from the environment"  # type: ignore[attr-defined]
    assert passphrase_of(None) == "from the environment"


def test_a_short_passphrase_is_refused() -> None:
    with pytest.raises(BackupError, match="12 characters"):
        SealedWriter(io.BytesIO(), "short")
