"""Documents are kept as sent and never with a secret; a secret that slipped in can be removed, its row can't."""

import hashlib
import io
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied

from registry.demo.factories import MembershipFactory, PlaceFactory, SiteFactory, UserFactory
from registry.equipment.document_files import MOST_BYTES, MOST_UNPACKED, check_file
from registry.equipment.document_queries import current_documents, documents_of_site, references_visible_to
from registry.equipment.documents import Sent, add_document, purge_document, withdraw_document
from registry.equipment.models import Document, DocumentKind, SecretReference
from registry.equipment.secret_references import remove_reference, save_reference
from sites.actions import save_site
from sites.facts import FactIsFixedError
from sites.models import Role, Site, User
from sites.put import RefusedError
from tests.sites.test_photos import photo

PDF = b"%PDF-1.7\nbt (Rack A) et"
SECRET = "hostname r\nenable secret 5 $1$abcd$efghijklmnop\n"
CLEAN = b"hostname r\nwifi password ****\n"


def zipped(**members: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name.replace("_", "."), data)
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "was_read"),
    [
        ("router.cfg", CLEAN, True),
        ("router.cfg", bytes(range(256)) * 9, False),
        ("router.bin", b"\x00\x01\x02binary", False),
        ("notes.TXT", "café".encode("latin-1"), True),
        ("notes.txt", "\ufeffclean".encode("utf-16"), True),
        ("manual.pdf", PDF, False),
        ("plan.dwg", b"AC1032\x00", False),
        ("backup.zip", zipped(a_txt=CLEAN, b_cfg=CLEAN), True),
        ("backup.zip", zipped(a_txt=CLEAN, b_bin=b"\x00\x01"), False),
        ("backup.zip", zipped(a_zip=zipped(a_txt=SECRET.encode())), False),
    ],
)
def test_what_can_be_read_is_read(name: str, content: bytes, was_read: bool) -> None:
    checked = check_file(name, content)
    assert (checked.name, checked.data, checked.was_read) == (name, content, was_read)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        (
            "router.cfg",
            SECRET.encode(),
            r"this looks like a secret: router.cfg, line 2: enable secret 5 ••••\. Replace",
        ),
        ("router.txt", SECRET.encode("utf-16"), "router.txt, line 2"),
        ("router.cfg", SECRET.encode() + "é".encode("latin-1"), "router.cfg, line 2"),
        ("users.csv", b"user,password\nann,rose\n", "users.csv, line 2: ann, ••••"),
        ("b.zip", zipped(a_bin=b"\x00", r_cfg=SECRET.encode()), "b.zip › r.cfg, line 2: enable secret 5 ••••"),
        ("page.html", b"<html>", "one of these kinds of file: backup, bak"),
        ("run.exe", b"MZ", "one of these kinds of file"),
        ("noending", b"x", "one of these kinds of file"),
        ("manual.pdf", b"<html>", "this is no PDF file, whatever its name says"),
        ("plan.dwg", b"<html>", "this is no DWG file"),
        ("photo.jpg", b"<html>", "no photo that can be read"),
        ("notes.txt", b"\x00\x01\x02\x03", "this is no TXT file, but something only a program can read"),
        ("empty.txt", b"", "the file is empty"),
        ("big.txt", b"x" * (MOST_BYTES + 1), "at most 25 MB"),
        ("b.zip", b"PK\x03\x04half", "a zip that opens whole"),
        ("b.zip", zipped(a_txt=b" " * (MOST_UNPACKED + 1)), "at most 64 MB when it is unpacked"),
        ("b.zip", zipped(**{f"a{number}_txt": b"" for number in range(501)}), "a zip of at most 500 files"),
    ],
    ids=lambda value: value if isinstance(value, str) and len(value) < 20 else "",
)
def test_what_is_not_kept_says_why(name: str, content: bytes, says: str) -> None:
    with pytest.raises(RefusedError, match=says) as refused:
        check_file(name, content)
    assert refused.value.problems[0].field == "file"
    assert "$1$" not in str(refused.value)


def test_a_photo_is_drawn_anew_and_a_name_is_only_a_name() -> None:
    checked = check_file("C:\\photos\\..\\rack.PNG", photo("PNG"))
    assert (checked.name, checked.data[:3], checked.was_read) == ("rack.jpg", b"\xff\xd8\xff", False)
    assert check_file('../../a"b\n.txt', b"x").name == "a_b_.txt"


@pytest.fixture
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def site(db: None) -> Site:
    return SiteFactory()


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory(role=Role.TECH)


def add(by: User, site: Site, content: bytes = CLEAN, *, name: str = "r.cfg", **more: Any) -> Document:
    before = more.pop("replaces", None)
    values = {"title": "Router", "kind": DocumentKind.CONFIGURATION, **more}
    return add_document(by=by, site=site, sent=Sent(name, content), values=values, replaces=before)


def stored(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def test_a_document_is_kept_under_a_random_name_with_its_hash(media: Path, site: Site, tech: User) -> None:
    kept = add(tech, site)
    (file,) = stored(media)
    assert (file.parent.name, file.read_bytes()) == ("documents", CLEAN)
    assert re.fullmatch("[0-9a-f]{32}", file.name)
    assert (kept.sha256, kept.size, kept.uploaded_by) == (hashlib.sha256(CLEAN).hexdigest(), len(CLEAN), tech)
    assert (kept.looked_through, kept.for_owner) == (False, False)
    with pytest.raises(FactIsFixedError):
        kept.save()
    with pytest.raises(RefusedError, match="this very file is here already, as 'Router'"):
        add(tech, site)


def test_what_cannot_be_read_needs_the_word_of_who_sends_it(media: Path, site: Site, tech: User) -> None:
    with pytest.raises(RefusedError) as refused:
        add(tech, site, PDF, name="m.pdf")
    assert [problem.field for problem in refused.value.problems] == ["looked_through"]
    assert not stored(media)
    assert add(tech, site, PDF, name="m.pdf", looked_through=True).looked_through


def test_a_place_of_another_site_is_refused(media: Path, site: Site, tech: User) -> None:
    with pytest.raises(RefusedError, match="belongs to another site"):
        add(tech, site, place=PlaceFactory())


def test_a_new_version_replaces_and_a_withdrawn_one_gives_way(media: Path, site: Site, tech: User) -> None:
    first = add(tech, site, b"one")
    second = add(tech, site, b"two", replaces=first)
    third = add(tech, site, b"three", replaces=first)  # who holds an old page still adds to the newest
    assert (second.replaces, third.replaces) == (first, second)
    assert list(current_documents(tech)) == [third]
    withdraw_document(by=tech, document=third, reason="Of another router")
    found = documents_of_site(tech, site)
    assert (found.current, found.earlier, found.withdrawn) == ([second], [first], [third])
    with pytest.raises(ValueError, match="withdrawn already"):
        withdraw_document(by=tech, document=third, reason="Again")
    assert len(stored(media)) == 3


def test_only_a_manager_removes_content_and_the_row_stays(
    media: Path, site: Site, tech: User, django_capture_on_commit_callbacks: Any
) -> None:
    kept = add(tech, site)
    with pytest.raises(PermissionDenied):
        purge_document(by=tech, document=kept, reason="A password in line 3")
    assert stored(media)
    with django_capture_on_commit_callbacks(execute=True):
        purge_document(by=UserFactory(role=Role.MANAGER), document=kept, reason="A password in line 3")
    assert not stored(media)
    assert Document.objects.get().sha256 == kept.sha256
    assert documents_of_site(tech, site).withdrawn == [kept]


def test_an_owner_reads_only_what_is_meant_for_them(media: Path, site: Site, tech: User) -> None:
    owner = MembershipFactory(user=UserFactory(role=Role.OWNER), client=site.client).user
    add(tech, site, b"configuration")
    drawing = add(tech, site, b"drawing", for_owner=True)
    add(tech, SiteFactory(), b"elsewhere", for_owner=True)
    save_reference(by=tech, site=site, reference=None, values=REFERENCE)
    assert documents_of_site(owner, site) == ([drawing], [], [])
    assert not references_visible_to(owner).exists()
    withdraw_document(by=tech, document=drawing, reason="Old")
    assert documents_of_site(owner, site).current == []


REFERENCE = {"opens": "Router", "kept_where": "Password safe, entry 14", "who_may_ask": "The office"}


def test_a_reference_is_kept_with_its_history(site: Site, tech: User) -> None:
    made = save_reference(by=tech, site=site, reference=None, values=REFERENCE)
    with pytest.raises(RefusedError, match="already a reference 'Router'"):
        save_reference(by=tech, site=site, reference=None, values=REFERENCE)
    moved = save_reference(by=tech, site=site, reference=made, values={**REFERENCE, "kept_where": "Safe in the hall"})
    assert moved.history.count() == 2
    remove_reference(by=tech, reference=moved)
    assert [row.kept_where for row in SecretReference.history.order_by("pk")][:2] == [
        "Password safe, entry 14",
        "Safe in the hall",
    ]
    assert SecretReference.history.latest().history_user == tech


def test_access_notes_take_no_code(site: Site, tech: User) -> None:
    with pytest.raises(RefusedError, match="looks like a secret") as refused:
        save_site(by=tech, site=site, values={"access_notes": "Back door. Alarm code 4711."})
    assert refused.value.problems[0].field == "access_notes"
