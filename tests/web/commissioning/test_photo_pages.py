"""Photos of spots come in through a form and go out only to who may read the site."""

from pathlib import Path

import pytest
from django.conf import settings as django_settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Zone
from registry.planning.models import Commissioning, SpotPhoto
from sites.models import User
from tests.web.commissioning.conftest import picture
from tests.web.conftest import SignIn
from tests.web.pages import text_of


def upload(browser: Browser, run: Commissioning, zone: Zone, data: bytes, name: str = "spot.jpg") -> object:
    file = SimpleUploadedFile(name, data, content_type="image/jpeg")
    return browser.post(reverse("commissioning-photo", args=[run.pk, zone.pk]), {"photo": file}, follow=True)


def test_a_photo_is_kept_and_shown_in_the_run_and_with_the_zone(
    run: Commissioning, zone: Zone, browser: Browser
) -> None:
    page = upload(browser, run, zone, picture(), name="../../etc/passwd.php")
    assert "The photo is kept" in text_of(page)
    photo = SpotPhoto.objects.get()
    assert photo.image.name.startswith("spots/")
    assert photo.image.name.endswith(".jpg")
    for address in (reverse("commissioning-zone", args=[run.pk, zone.pk]), reverse("zone", args=[zone.pk])):
        assert reverse("spot-photo", args=[photo.pk]) in browser.get(address).content.decode()


def test_the_picture_is_served_as_a_picture_and_nothing_else(photo: SpotPhoto, browser: Browser) -> None:
    response = browser.get(reverse("spot-photo", args=[photo.pk]))
    assert response.headers["Content-Type"] == "image/jpeg"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert response.headers["Cache-Control"].startswith("private")
    assert response.content[:3] == b"\xff\xd8\xff"


def test_no_address_serves_the_folder_of_photos(photo: SpotPhoto, browser: Browser) -> None:
    for address in (f"/{photo.image.name}", f"/media/{photo.image.name}", f"/static/{photo.image.name}"):
        assert browser.get(address).status_code == 404, address
    assert Path(django_settings.STATIC_ROOT) not in Path(photo.image.path).parents


@pytest.mark.parametrize("sent", [b"<html>", b"GIF89a" + b"\x00" * 50, picture()[:300]])
def test_what_is_no_photo_is_refused_beside_the_form(
    run: Commissioning, zone: Zone, browser: Browser, sent: bytes, media: Path
) -> None:
    response = upload(browser, run, zone, sent)
    assert response.status_code == 422
    assert "This is no photo that can be read" in text_of(response)
    assert not SpotPhoto.objects.exists()
    assert not media.exists() or not [path for path in media.rglob("*") if path.is_file()]


def test_a_file_over_10_mb_is_refused(run: Commissioning, zone: Zone, browser: Browser) -> None:
    response = upload(browser, run, zone, picture() + b"\x00" * (10 * 1024 * 1024))
    assert response.status_code == 422
    assert "at most 10 MB" in text_of(response)


def test_nobody_elses_photo_is_shown(photo: SpotPhoto, stranger: User, owner: User, sign_in: SignIn) -> None:
    address = reverse("spot-photo", args=[photo.pk])
    assert sign_in(stranger).get(address).status_code == 404
    assert sign_in(owner).get(address).status_code == 200


def test_removing_asks_first_and_then_removes_for_good(
    photo: SpotPhoto, run: Commissioning, browser: Browser, django_capture_on_commit_callbacks
) -> None:
    remove = reverse("spot-photo-remove", args=[photo.pk])
    path = Path(photo.image.path)
    assert "It can't be brought back" in text_of(browser.get(remove))
    assert path.exists()
    with django_capture_on_commit_callbacks(execute=True):
        page = browser.post(remove, follow=True)
    assert "The photo is removed." in text_of(page)
    assert not path.exists()
    assert browser.get(reverse("spot-photo", args=[photo.pk])).status_code == 404


def test_a_picture_that_is_gone_from_the_disk_is_not_found(photo: SpotPhoto, browser: Browser) -> None:
    Path(photo.image.path).unlink()
    assert browser.get(reverse("spot-photo", args=[photo.pk])).status_code == 404
