"""A backup brings back everything, is refused whole when anything is wrong with it, and proves itself."""

import gzip
import io
import subprocess
import tarfile
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from registry.backups import making
from registry.backups.bringing_back import bring_back, compare, waiting_migrations
from registry.backups.databases import database_at
from registry.backups.errors import BackupError
from registry.backups.making import Made, make_backup
from registry.backups.manifest import Manifest
from registry.equipment.documents import purge_document
from registry.equipment.models import Document
from sites.models import Receipt, Role, Site, User
from sites.receipts import once
from tests.backups.conftest import PAPER, PASSPHRASE, Target

Ask = Callable[[str], Any]


def test_everything_comes_back_with_the_rules_that_the_database_holds(
    made: Made, target: Target, run: Ask, register: Site, tmp_path: Path
) -> None:
    bring_back(made.path, into=target.database, storage=target.storage)
    assert run(f"SELECT name FROM client_sites_site WHERE id = {register.pk}") == [("Green Acre shop",)]
    name = Document.objects.get().file.name or ""
    assert (tmp_path / "brought" / name).read_bytes() == PAPER
    # Facts are still append-only, and new rows get keys of their own.
    with pytest.raises(Exception, match="never changed or deleted"):
        run("DELETE FROM baselines_reading")
    # The index of the search answers, and follows.
    match = "text MATCH 'acre'" if connection.vendor == "sqlite" else "text LIKE '%acre%'"
    table = "search_trigrams" if connection.vendor == "sqlite" else "search_searchentry"
    before = run(f"SELECT count(*) FROM {table} WHERE {match}")[0][0]
    assert before > 0
    run("INSERT INTO search_searchentry (kind, row, text) VALUES ('site', 4711, 'more acre')")
    assert run(f"SELECT count(*) FROM {table} WHERE {match}")[0][0] == before + 1


def test_other_programs_read_it(made: Made, tmp_path: Path) -> None:
    """GNU tar lists it; SQLite's and PostgreSQL's own tools know the database in it."""
    listed = subprocess.run(["tar", "-tzf", made.path], capture_output=True, text=True, check=True).stdout.split()
    assert listed == ["database", *(f"media/{name}" for name in made.manifest.content.files), "manifest.json"]
    subprocess.run(["tar", "-xzf", made.path, "-C", tmp_path, "database"], check=True)
    summed = subprocess.run(["sha256sum", tmp_path / "database"], capture_output=True, text=True, check=True).stdout
    assert summed.split()[0] == made.manifest.parts["database"].sha256
    if connection.vendor == "postgresql":
        subprocess.run(["pg_restore", "--list", tmp_path / "database"], check=True, stdout=subprocess.DEVNULL)
    else:
        assert (tmp_path / "database").read_bytes().startswith(b"SQLite format 3\0")
    assert made.path.stat().st_mode & 0o077 == 0


def test_what_is_there_stays_unless_it_is_said(made: Made, target: Target, run: Ask, tmp_path: Path) -> None:
    bring_back(made.path, into=target.database, storage=target.storage)
    run("UPDATE client_sites_client SET phone = 'typed since'")
    with pytest.raises(BackupError, match="isn't empty: name an empty one, or say --replace"):
        bring_back(made.path, into=target.database, storage=target.storage)
    assert run("SELECT phone FROM client_sites_client") == [("typed since",)]
    bring_back(made.path, into=target.database, storage=target.storage, replace=True)
    assert run("SELECT phone FROM client_sites_client") == [("+1 555 0100",)]
    if connection.vendor == "sqlite":
        assert len(list(tmp_path.glob("scratch.sqlite3.before-*"))) == 1


def test_another_file_under_the_same_name_is_not_replaced(made: Made, target: Target, tmp_path: Path) -> None:
    there = tmp_path / "brought" / made.manifest.content.files[0]
    there.parent.mkdir(parents=True)
    there.write_bytes(b"something else")
    with pytest.raises(BackupError, match="other files are there already"):
        bring_back(made.path, into=target.database, storage=target.storage)
    assert target.database.is_empty()
    assert there.read_bytes() == b"something else"


def test_nothing_is_touched_by_a_backup_that_is_wrong(
    made: Made, target: Target, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = made.path.read_bytes()
    sealed = make_backup(tmp_path / "sealed", passphrase=PASSPHRASE).path.read_bytes()
    newer = replace(made.manifest.content, migrations=[*made.manifest.content.migrations, "audio.9999_later"])
    other = replace(made.manifest.content, kind="another")
    cases = {
        "damaged, cut off": whole[: len(whole) // 2],
        "damaged, cut off or": whole[:-1],
        "damaged, cut off or no": b"no backup at all",
        "damaged": whole[: len(whole) // 2] + bytes(64) + whole[len(whole) // 2 + 64 :],
        "damaged, cut": whole[:-8] + bytes([whole[-8] ^ 1]) + whole[-7:],
        "was altered or is damaged, at media": repacked(whole, alter="media"),
        "was altered or is damaged, at database": repacked(whole, drop="database"),
        "no list of contents": repacked(whole, drop="manifest"),
        "can't be in a backup": repacked(whole, link=True),
        "contents of this backup can't be read": repacked(whole, manifest=b"{}"),
        "made by a newer version": repacked(whole, manifest=replace(made.manifest, format=2).to_json()),
        "1 changes to the tables are unknown": repacked(
            whole, manifest=replace(made.manifest, content=newer).to_json()
        ),
        "this backup is of another": repacked(whole, manifest=replace(made.manifest, content=other).to_json()),
        "is sealed: give its passphrase": sealed,
    }
    for says, content in cases.items():
        (tmp_path / "case").write_bytes(content)
        with pytest.raises(BackupError, match=says):
            bring_back(tmp_path / "case", into=target.database, storage=target.storage, replace=True)
    for content in (sealed[:-1], sealed[:300] + bytes([sealed[300] ^ 1]) + sealed[301:], sealed):
        (tmp_path / "case").write_bytes(content)
        word = "another passphrase" if content == sealed else PASSPHRASE
        with pytest.raises(BackupError, match="doesn't open"):
            bring_back(tmp_path / "case", into=target.database, storage=target.storage, passphrase=word)
    assert target.database.is_empty()
    assert not (tmp_path / "brought").exists()
    # The last one was whole.
    bring_back(tmp_path / "case", into=target.database, storage=target.storage, passphrase=PASSPHRASE)


def repacked(
    whole: bytes, *, alter: str = "-", drop: str = "-", manifest: bytes | None = None, link: bool = False
) -> bytes:
    """Return a backup with something changed in it."""
    out = io.BytesIO()
    with (
        tarfile.open(fileobj=io.BytesIO(gzip.decompress(whole))) as old,
        tarfile.open(fileobj=out, mode="w:gz") as new,
    ):
        for entry in old:
            data = old.extractfile(entry).read()  # type: ignore[union-attr]
            if entry.name.startswith(alter):
                data = bytes([data[0] ^ 1]) + data[1:]
            if entry.name == "manifest.json" and manifest is not None:
                data = manifest
            entry.size = len(data)
            if not entry.name.startswith(drop):
                new.addfile(entry, io.BytesIO(data))
        if link:
            entry = tarfile.TarInfo("media/../../elsewhere")
            entry.type, entry.linkname = tarfile.SYMTYPE, "/etc/passwd"
            new.addfile(entry)
    return out.getvalue()


def test_a_difference_is_told(made: Made, target: Target, run: Ask, tmp_path: Path) -> None:
    bring_back(made.path, into=target.database, storage=target.storage)
    run("UPDATE client_sites_client SET phone = '2'")
    on = "" if connection.vendor == "sqlite" else " ON baselines_reading"
    run(f"DROP TRIGGER append_only_delete_baselines_reading{on}")
    (tmp_path / "brought" / made.manifest.content.files[0]).write_bytes(b"other")
    with pytest.raises(BackupError) as told:
        compare(made.manifest, target.database.content(), target.storage)
    assert "table client_sites_client: Table(rows=1" in str(told.value)
    assert "append_only_delete_baselines_reading is missing" in str(told.value)
    assert f"file {made.manifest.content.files[0]} differs" in str(told.value)


def test_a_backup_holds_one_moment_while_others_write(register: Site, target: Target, run: Ask, tmp_path: Path) -> None:
    """Each writer commits two receipts at a time; a backup never has one of them without the other."""
    by, done, failures = User.objects.get(username="keeper"), threading.Event(), []

    def write(name: str) -> None:
        try:
            for number in range(10_000):
                if done.wait(0.002):  # lets the other one in
                    return
                once(
                    by=by,
                    key=f"{name} {number}",
                    digest="",
                    action=lambda n=number: Receipt.objects.create(user=by, key=f"{name} pair {n}", digest="").pk,
                )
        except Exception as error:
            failures.append(error)
        finally:
            connection.close()

    writers = [threading.Thread(target=write, args=[name]) for name in ("a", "b")]
    for writer in writers:
        writer.start()
    while min(Receipt.objects.filter(key__startswith=f"{name} ").count() for name in ("a", "b")) < 10 and not failures:
        time.sleep(0.01)
    made = make_backup(tmp_path / "busy.tar.gz")
    done.set()
    for writer in writers:
        writer.join(60)
    assert not failures
    bring_back(made.path, into=target.database, storage=target.storage)
    for name in ("a", "b"):
        keys = {key for (key,) in run(f"SELECT key FROM client_sites_receipt WHERE key LIKE '{name} %'")}
        singles = {key.split()[-1] for key in keys if "pair" not in key}
        assert singles == {key.split()[-1] for key in keys if "pair" in key} == {str(n) for n in range(len(singles))}
        assert singles


def test_a_backup_that_fails_leaves_nothing(
    register: Site, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, media: Path
) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()

    def full(*args: Any) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(making.media, "pack", full)
        with pytest.raises(CommandError, match="No space left on device: is there room"):
            call_command("backup", folder)
    assert not list(folder.iterdir())
    made = make_backup(folder / "one")
    with pytest.raises(BackupError, match="never replaces another"):
        make_backup(folder / "one")
    assert [path.name for path in folder.iterdir()] == [made.path.name]


def test_a_lost_file_is_told_and_a_purged_one_is_not(
    register: Site, media: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    document = Document.objects.get()
    (media / (document.file.name or "")).rename(tmp_path / "away")
    call_command("backup", tmp_path / "one")
    assert f"A row names {document.file.name}, and the file is gone" in capsys.readouterr().err
    with pytest.raises(CommandError, match="1 files that rows name are gone"):
        call_command("rehearse_backup")
    (tmp_path / "away").rename(media / (document.file.name or ""))
    by = User.objects.get(username="keeper")
    assert by.role == Role.MANAGER
    purge_document(by=by, document=document, reason="a key slipped in")
    assert not (media / (document.file.name or "")).exists()
    call_command("backup", tmp_path / "two")
    assert "the file is gone" not in capsys.readouterr().err


def test_the_rehearsal_says_one_line_and_leaves_nothing(
    register: Site, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    scratch = tmp_path / "tmp"
    scratch.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(scratch))
    settings.BACKUP_PASSPHRASE = PASSPHRASE
    folder = tmp_path / "backups"
    folder.mkdir()
    call_command("backup", folder)
    capsys.readouterr()
    call_command("rehearse_backup", folder)
    said = capsys.readouterr().out
    assert said.startswith("Rehearsed the backup of 20")
    assert said.count("\n") == 1
    (newest,) = folder.iterdir()
    newest.write_bytes(newest.read_bytes()[:-1])
    with pytest.raises(CommandError, match="doesn't open"):
        call_command("rehearse_backup", folder)
    assert not list(scratch.iterdir())
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT datname FROM pg_database WHERE datname LIKE 'evenkeel_rehearsal_%'")
            assert not cursor.fetchall()


def test_an_older_backup_says_to_migrate(made: Made) -> None:
    assert waiting_migrations(made.manifest) == 0
    older = replace(made.manifest.content, migrations=made.manifest.content.migrations[1:])
    assert waiting_migrations(replace(made.manifest, content=older)) == 1
    assert Manifest.from_json(made.manifest.to_json()) == made.manifest


def test_an_address_that_is_none_is_refused() -> None:
    for address in ("", "nonsense", "mysql://127.0.0.1/x"):
        with pytest.raises(BackupError):
            database_at(address)


def test_the_command_needs_no_running_register(made: Made, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if connection.vendor == "postgresql":
        with pytest.raises(CommandError, match="can't be reached"):
            call_command("bring_back", made.path, into="postgres://postgres@127.0.0.1:1/none", media=tmp_path / "m")
        return
    call_command("bring_back", made.path, into=f"sqlite:///{tmp_path}/new.sqlite3", media=tmp_path / "m")
    assert "every row and file compared: sqlite" in capsys.readouterr().out
