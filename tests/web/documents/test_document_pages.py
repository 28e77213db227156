"""Documents in the browser: kept, saved as a file and never shown in place, hidden, removed; who may see what."""

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import PlaceFactory, UserFactory
from registry.equipment.documents import Sent, add_document
from registry.equipment.models import Document, DocumentKind, SecretReference
from registry.equipment.secret_references import save_reference
from registry.web.documents.urls import urlpatterns
from sites.models import Role, Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, text_of
from tests.web.test_query_counts import grown

REFERENCE = {"opens": "Router", "kept_where": "Password safe, entry 14", "who_may_ask": "The office"}


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def drawing(site: Site, tech: User) -> Document:
    return kept(tech, site, "drawing", for_owner=True)


def kept(by: User, site: Site, text: str, **more: Any) -> Document:
    values = {"title": text.capitalize(), "kind": DocumentKind.DRAWING, **more}
    return add_document(by=by, site=site, sent=Sent(f"{text}.txt", text.encode()), values=values)


# What each address answers to: nobody, manager, tech, owner, stranger.
READ, WRITE, HIDDEN = (302, 200, 200, 200, 404), (302, 200, 200, 403, 404), (302, 200, 200, 404, 404)
TABLE = {
    "site-documents": READ,
    "document-file": READ,
    "document-new": WRITE,
    "document-new-version": WRITE,
    "document-withdraw": WRITE,
    "document-purge": (302, 200, 403, 403, 404),
    "reference-new": WRITE,
    "reference-edit": HIDDEN,
    "reference-remove": HIDDEN,
}


def test_every_address_is_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == set(TABLE)


@pytest.mark.parametrize("name", TABLE)
def test_every_role_gets_what_the_table_says(
    name: str, drawing: Document, site: Site, tech: User, owner: User, stranger: User, sign_in: SignIn
) -> None:
    reference = save_reference(by=tech, site=site, reference=None, values=REFERENCE)
    by_code = name in {"site-documents", "document-new", "reference-new"}
    row = reference if name.startswith("reference") else drawing
    address = reverse(name, args=[site.code if by_code else row.pk])
    people = [UserFactory(role=Role.MANAGER), tech, owner, stranger]
    answers = [browser.get(address) for browser in (Browser(), *(sign_in(person) for person in people))]
    assert tuple(answer.status_code for answer in answers) == TABLE[name]
    for answer in answers:
        if answer.streaming:  # a file that nobody reads stays open
            list(answer.streaming_content)  # type: ignore[arg-type]
    if TABLE[name] != READ:
        assert sign_in(owner).post(address, {}).status_code == TABLE[name][3]


def test_a_file_is_saved_and_never_run(browser: Browser, drawing: Document) -> None:
    answer = browser.get(reverse("document-file", args=[drawing.pk]))
    assert b"".join(answer.streaming_content) == b"drawing"
    assert answer["Content-Disposition"] == 'attachment; filename="drawing.txt"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Type"] == "application/octet-stream"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert answer["Cache-Control"] == "private, no-store"


def test_a_configuration_is_kept_from_the_owner_unless_somebody_says_otherwise(
    browser: Browser, site: Site, owner: User, sign_in: SignIn
) -> None:
    place = PlaceFactory(site=site, name="Router")
    form = {"title": "Router export", "kind": "configuration", "place": place.pk, "dated_on": "2026-11-12"}
    new = reverse("document-new", args=[site.code])
    refused = browser.post(new, {**form, "file": SimpleUploadedFile("r.cfg", b"a\npassword rosebud7\n")})
    assert refused.status_code == 422
    words = text_of(refused)
    assert "r.cfg, line 2: password ••••" in words
    assert "rosebud7" not in refused.content.decode()
    assert 'value="Router export"' in refused.content.decode()
    assert not Document.objects.exists()

    done = browser.post(new, {**form, "file": SimpleUploadedFile("r.cfg", b"hostname r\n")}, follow=True)
    assert answer_of(done) == "1 document."
    assert "Read for secrets by the register." in text_of(done)
    assert "Router export" in text_of(browser.get(reverse("place", args=[place.pk])))
    (found,) = Document.objects.all()
    seen = sign_in(owner)
    assert seen.get(reverse("document-file", args=[found.pk])).status_code == 404
    for page in (reverse("site-documents", args=[site.code]), reverse("site", args=[site.code])):
        assert "Router export" not in text_of(seen.get(page))


def test_what_cannot_be_read_is_asked_about(browser: Browser, site: Site) -> None:
    new = reverse("document-new", args=[site.code])
    form = {"title": "Manual", "kind": "manual"}
    asked = browser.post(new, {**form, "file": SimpleUploadedFile("m.pdf", b"%PDF-1.7")})
    assert list(asked.context["form"].errors) == ["looked_through"]
    assert "Choose the file once more" in answer_of(asked)
    form["looked_through"] = "on"
    assert browser.post(new, {**form, "file": SimpleUploadedFile("m.pdf", b"%PDF-1.7")}).status_code == 302
    assert Document.objects.get().looked_through


def test_a_new_version_a_withdrawal_and_a_purge(
    browser: Browser, drawing: Document, site: Site, sign_in: SignIn, django_capture_on_commit_callbacks: Any
) -> None:
    newer = reverse("document-new-version", args=[drawing.pk])
    assert 'value="Drawing"' in browser.get(newer).content.decode()
    form = {"title": "Drawing", "kind": "drawing", "file": SimpleUploadedFile("d2.txt", b"second")}
    page = browser.post(newer, form, follow=True)
    assert "1 earlier version" in text_of(page)
    second = Document.objects.get(name="d2.txt")
    withdrawn = browser.post(reverse("document-withdraw", args=[second.pk]), {"reason": "Wrong rack"}, follow=True)
    assert "Wrong rack" in text_of(withdrawn)
    assert browser.post(reverse("document-purge", args=[second.pk]), {"reason": "x"}).status_code == 403
    manager = sign_in(UserFactory(role=Role.MANAGER))
    purge = reverse("document-purge", args=[second.pk])
    assert manager.post(purge, {"reason": "password: rosebud7"}).status_code == 422
    with django_capture_on_commit_callbacks(execute=True):
        page = manager.post(purge, {"reason": "A password slipped in"}, follow=True)
    assert second.sha256 in text_of(page)
    assert manager.get(reverse("document-file", args=[second.pk])).status_code == 404


def test_references_are_recorded_changed_and_removed(browser: Browser, site: Site) -> None:
    new = reverse("reference-new", args=[site.code])
    refused = browser.post(new, {**REFERENCE, "kept_where": "Rose7garden"})
    assert list(refused.context["form"].errors) == ["kept_where"]
    assert "Password safe, entry 14" in text_of(browser.post(new, REFERENCE, follow=True))
    assert "Password safe, entry 14" in text_of(browser.get(reverse("site", args=[site.code])))
    (made,) = SecretReference.objects.all()
    edit = reverse("reference-edit", args=[made.pk])
    assert browser.post(edit, {**REFERENCE, "opens": "Switch"}).status_code == 302
    assert SecretReference.objects.get().opens == "Switch"
    browser.post(reverse("reference-remove", args=[made.pk]))
    assert not SecretReference.objects.exists()


def test_the_pages_cost_the_same_with_more_documents(browser: Browser, site: Site, tech: User) -> None:
    place = PlaceFactory(site=site)

    def add(number: int) -> None:
        first = kept(tech, site, f"one {number}", place=place)
        kept(tech, site, f"other {number}")
        values = {"title": "x", "kind": DocumentKind.OTHER, "place": place}
        add_document(by=tech, site=site, sent=Sent("x.txt", b"%d" % number), values=values, replaces=first)
        browser.post(reverse("document-withdraw", args=[kept(tech, site, f"gone {number}").pk]), {"reason": "Gone"})
        save_reference(by=tech, site=site, reference=None, values={**REFERENCE, "opens": f"Door {number}"})

    first, third = grown(browser, reverse("site-documents", args=[site.code]), add)
    assert first == third
    first, third = grown(browser, reverse("place", args=[place.pk]), lambda number: add(number + 10))
    assert first == third
