"""A survey is uploaded, looked at, and only then written: all of it or nothing."""

import io
import os
import time
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from pytest_django import Settings

from registry.audio.models import Line, Zone
from registry.demo.factories import UserFactory
from registry.exchange.importing import import_survey
from sites.models import Role, Site
from tests.exchange.small_survey import edited, survey
from tests.web.conftest import SignIn
from tests.web.exchange.conftest import kept_in
from tests.web.pages import answer_of, heading_of, text_of


def upload(browser: Browser, files: Mapping[str, bytes]) -> Any:
    sent = [SimpleUploadedFile(name, content) for name, content in files.items()]
    return browser.post(reverse("survey-import"), {"survey": sent})


def packed(files: Mapping[str, bytes], folder: str = "acre/") -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for name, text in files.items():
            archive.writestr(folder + name, text)
    return content.getvalue()


def test_csv_files_are_shown_first_and_written_when_that_is_confirmed(browser: Browser, media: Path) -> None:
    address = upload(browser, survey()).headers["Location"]
    page = browser.get(address)
    assert heading_of(page) == "What this survey would do"
    assert answer_of(page).endswith("0 changed. Nothing is written yet.")
    assert "lines.csv" in text_of(page)
    assert not Site.objects.exists()
    assert len(kept_in(media)) == 1
    done = browser.post(address, follow=True)
    assert "Imported: " in text_of(done)
    assert Line.objects.count() == 2
    assert kept_in(media) == []


def test_a_zip_of_a_folder_does_the_same(browser: Browser) -> None:
    address = upload(browser, {"acre.zip": packed(survey())}).headers["Location"]
    browser.post(address)
    assert Zone.objects.count() == 2


def test_the_preview_says_what_changes_from_what_to_what(browser: Browser) -> None:
    import_survey(survey(), by=None)
    zones = "site,zone,space,source,spot,default_position,tolerance_db\nacre,Shop,Shop,Stream 1,P1 by the door,50,3\n"
    lines = edited("lines", "LS4,Make B,C6,,5,Yard", "LS4,Make B,C6,,10,Shop")["lines.csv"]
    address = upload(browser, survey(zones=zones) | {"lines.csv": lines}).headers["Location"]
    page = browser.get(address)
    assert answer_of(page).endswith("0 new, 3 changed. Nothing is written yet.")
    shown = {
        (row.where, row.what): [tuple(field) for field in row.fields]
        for preview in page.context["previews"]
        for row in preview.changed
    }
    assert shown == {
        ("zones.csv line 2", "zone"): [("spot", "P1 by the till", "P1 by the door"), ("tolerance_db", "2", "3")],
        ("lines.csv line 5", "loudspeaker"): [("zone", "Yard", "Shop")],
        ("lines.csv line 5", "coil"): [("tap_w", "5", "10")],
    }


def test_a_survey_that_is_known_already_offers_nothing_to_import(browser: Browser) -> None:
    import_survey(survey(), by=None)
    page = browser.get(upload(browser, survey()).headers["Location"])
    assert "The register knows all of this already" in text_of(page)
    assert "Import it" not in text_of(page)


def test_every_fault_names_file_line_column_value_and_what_is_expected(browser: Browser) -> None:
    files = edited("zones", "P1 by the till,50,2", "P1 by the till,fifty,2")
    page = browser.get(upload(browser, files).headers["Location"])
    assert page.status_code == 422
    assert answer_of(page).startswith("1 fault; nothing was written.")
    problem = page.context["problems"][0]
    assert (problem.file, problem.line, problem.column, problem.value) == ("zones.csv", 2, "default_position", "fifty")
    assert problem.expected in text_of(page)
    assert not Site.objects.exists()


def test_confirming_a_faulty_survey_writes_nothing(browser: Browser) -> None:
    address = upload(browser, edited("lines", "Amplifier 1,A", "Amplifier 9,A")).headers["Location"]
    assert browser.post(address).status_code == 422
    assert not Site.objects.exists()


def test_too_much_is_refused_and_says_how_much_is_allowed(browser: Browser, settings: Settings) -> None:
    settings.SURVEY_MAX_BYTES = 1024
    refused = upload(browser, survey())
    assert refused.status_code == 413
    assert "one import takes 1.0\xa0KB. Import a part at a time." in refused.content.decode()
    assert not Site.objects.exists()


def test_a_zip_that_unpacks_to_too_much_is_refused(browser: Browser, settings: Settings) -> None:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("zones.csv", b"site,zone\n" + b"a" * 200_000)
    settings.SURVEY_MAX_BYTES = 100_000
    refused = upload(browser, {"bomb.zip": content.getvalue()})
    assert refused.status_code in {413, 422}
    assert "100000" in text_of(refused)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("survey.zip", b"not a zip", "a zip file that opens without a password"),
        ("survey.zip", packed(survey())[:900], "a zip file that opens without a password"),
        ("survey.xlsx", b"PK", "survey.xlsx is neither a zip nor a CSV file."),
    ],
)
def test_what_is_no_survey_is_refused_beside_the_field(browser: Browser, name: str, content: bytes, says: str) -> None:
    refused = upload(browser, {name: content})
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == ["survey"]
    assert says in text_of(refused)


def test_a_zip_whose_packed_bytes_are_damaged_is_refused(browser: Browser) -> None:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("zones.csv", os.urandom(5000))
    damaged = bytearray(content.getvalue())
    for place in range(60, 400):
        damaged[place] ^= 0xFF
    assert upload(browser, {"survey.zip": bytes(damaged)}).status_code == 422


def test_no_file_at_all_is_asked_for(browser: Browser) -> None:
    refused = browser.post(reverse("survey-import"), {})
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == ["survey"]


def test_the_same_file_in_two_uploads_is_refused(browser: Browser) -> None:
    sent = [SimpleUploadedFile("zones.csv", b"site,zone\n"), SimpleUploadedFile("zones.csv", b"site,zone\nacre,Bar\n")]
    refused = browser.post(reverse("survey-import"), {"survey": sent})
    assert "zones.csv was chosen twice" in text_of(refused)


def test_nobody_else_finds_an_upload(browser: Browser, sign_in: SignIn) -> None:
    address = upload(browser, survey()).headers["Location"]
    other = sign_in(UserFactory(username="second"))
    for response in (other.get(address, follow=True), other.post(address, follow=True)):
        assert "This upload is not kept any more" in text_of(response)
    assert not Site.objects.exists()


@pytest.mark.parametrize("digest", ["none", "x" * 32, "0" * 32, "0" * 31])
def test_a_made_up_address_finds_nothing(browser: Browser, digest: str) -> None:
    response = browser.post(reverse("survey-preview", args=[digest]))
    assert response.headers["Location"] == reverse("survey-import")


def test_an_upload_is_forgotten_after_a_day(browser: Browser, media: Path) -> None:
    address = upload(browser, survey()).headers["Location"]
    (path,) = kept_in(media)
    yesterday = time.time() - 25 * 3600
    os.utime(path, (yesterday, yesterday))
    assert browser.post(address).headers["Location"] == reverse("survey-import")
    upload(browser, survey(zones="site,zone\nacre,Shop\n"))
    assert path not in kept_in(media)
    assert len(kept_in(media)) == 1


def test_an_owner_imports_nothing(db: None, sign_in: SignIn) -> None:
    browser = sign_in(UserFactory(role=Role.OWNER))
    assert browser.get(reverse("survey-import")).status_code == 403
    assert upload(browser, survey()).status_code == 403
    assert browser.post(reverse("survey-preview", args=["0" * 32])).status_code == 403


def test_without_signing_in_the_door_comes_first(db: None) -> None:
    for address in (reverse("survey-import"), reverse("survey-preview", args=["0" * 32])):
        assert Browser().get(address).headers["Location"] == f"{reverse('sign-in')}?next={address}"
