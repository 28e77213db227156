"""A site is downloaded as the survey that it could have come from."""

import io
import zipfile
from typing import Any

from django.test import Client as Browser
from django.urls import reverse

from registry.exchange.exporting import export_survey
from registry.exchange.importing import import_survey
from sites.models import Site, User
from tests.exchange.small_survey import survey
from tests.web.conftest import SignIn


def unpacked(response: Any) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(response.content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_download_holds_the_survey_of_the_site(browser: Browser) -> None:
    import_survey(survey(), by=None)
    site = Site.objects.get()
    response = browser.get(reverse("survey-export", args=[site.code]))
    assert response.headers["Content-Disposition"] == 'attachment; filename="acre-survey.zip"'
    expected = {f"acre/{name}": content for name, content in export_survey(site).items()}
    assert unpacked(response) == expected
    assert import_survey(export_survey(site), by=None).changes == []


def test_an_owner_exports_their_site_and_a_stranger_finds_none(
    site: Site, owner: User, stranger: User, sign_in: SignIn
) -> None:
    address = reverse("survey-export", args=[site.code])
    assert "north-hall/zones.csv" in unpacked(sign_in(owner).get(address))
    assert sign_in(stranger).get(address).status_code == 404
