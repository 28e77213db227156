"""An owner reads the reports of their own client and sites and records none; a stranger finds nothing."""

from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.visits.models import OwnersReport
from registry.web.reports.owners_urls import urlpatterns
from sites.models import Site, User
from tests.web.conftest import SignIn

READ = [f"owners-report-{about}{kind}" for about in ("client", "site") for kind in ("", "-pdf", "-xlsx")]
WRITE = ["owners-report-client-record", "owners-report-site-record"]


def address(name: str, site: Site) -> str:
    return reverse(name, args=[site.client_id if "client" in name else site.code])


def status(browser: Browser, method: str, url: str) -> int:
    """Return the answer; what is sent as a stream is read to its end."""
    response: Any = getattr(browser, method)(url)
    if response.streaming:
        assert b"".join(response.streaming_content)
    return int(response.status_code)


def test_every_route_is_in_this_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == {*READ, *WRITE}


@pytest.mark.parametrize("name", READ)
def test_who_reads(name: str, site: Site, owner: User, stranger: User, browser: Browser, sign_in: SignIn) -> None:
    url = address(name, site)
    answers = [status(each, "get", url) for each in (Browser(), browser, sign_in(owner), sign_in(stranger))]
    assert answers == [302, 200, 200, 404]


@pytest.mark.parametrize("name", WRITE)
def test_who_records(name: str, site: Site, owner: User, stranger: User, browser: Browser, sign_in: SignIn) -> None:
    url = address(name, site)
    visitors = (Browser(), sign_in(stranger), sign_in(owner))
    assert [status(each, "post", url) for each in visitors] == [302, 404, 403]
    assert not OwnersReport.objects.exists()
    assert status(browser, "get", url) == 405
    assert status(browser, "post", url) == 302
    assert OwnersReport.objects.get().client == site.client


def test_an_owner_is_offered_no_button_that_records(site: Site, owner: User, sign_in: SignIn) -> None:
    page = sign_in(owner).get(address("owners-report-site", site)).content.decode()
    assert page.count('method="post"') == 1  # the one that signs out
