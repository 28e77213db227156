"""Every answer forbids inline script and style, and no page needs any."""

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Zone
from registry.baselines.drift import refresh_drift
from registry.demo.factories import (
    BaselineFactory,
    FilledPlaceFactory,
    LineFactory,
    RackFactory,
    ReadingFactory,
    SpaceFactory,
)
from sites.models import Site
from tests.web.pages import heading_of

POLICY = {
    *("default-src 'self'", "img-src 'self' data: blob:", "media-src 'self' blob:"),
    *("object-src 'none'", "base-uri 'none'", "form-action 'self'", "frame-ancestors 'none'"),
}
INLINE = re.compile(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", re.IGNORECASE)


@pytest.fixture
def addresses(site: Site) -> list[str]:
    """Every kind of page, with something of everything on it."""
    SpaceFactory(site=site)
    rack = RackFactory(site=site, height_u=12)
    place = FilledPlaceFactory(site=site, rack=rack, position_u=3)
    LineFactory(site=site, amplifier=place)
    ReadingFactory(zone__site=site)
    BaselineFactory(site=site)
    refresh_drift(Zone.objects.filter(site=site))
    item = place.placements.get().item
    by_code = ("site", "site-edit", "space-new", "rack-new", "item-new", "place-new")
    by_id = (
        ("client", site.client),
        ("client-edit", site.client),
        ("rack", rack),
        ("rack-edit", rack),
        ("item", item),
        ("item-edit", item),
        ("place", place),
        ("place-edit", place),
        ("record-settings", place),
        ("model", item.make_model),
        ("model-edit", item.make_model),
    )
    return [
        *(reverse(name) for name in ("today", "clients", "sites", "equipment", "models", "model-new", "client-new")),
        f"{reverse('search')}?q=a",
        *(reverse(name, args=[site.code]) for name in by_code),
        *(reverse(name, args=[row.pk]) for name, row in by_id),
    ]


def policy_of(response: Any) -> set[str]:
    return set(response.headers["Content-Security-Policy"].split("; "))


def test_no_page_carries_inline_script_or_style(browser: Browser, addresses: list[str]) -> None:
    for address in addresses:
        response = browser.get(address)
        assert response.status_code == 200, address
        assert policy_of(response) == POLICY
        assert not INLINE.findall(response.content.decode()), address


def test_every_page_has_one_heading_a_title_and_a_way_past_the_navigation(
    browser: Browser, addresses: list[str]
) -> None:
    for address in addresses:
        page = browser.get(address)
        assert heading_of(page), address
        content = page.content.decode()
        assert re.search(r"<title>[^<]+ · Evenkeel</title>", content), address
        assert '<a class="skip" href="#main">' in content
        assert '<main id="main"' in content


def test_every_input_has_a_label_and_no_id_stands_twice(browser: Browser, addresses: list[str]) -> None:
    for address in addresses:
        content = browser.get(address).content.decode()
        ids = re.findall(r'\sid="([^"]+)"', content)
        assert sorted(ids) == sorted(set(ids)), address
        labelled = set(re.findall(r'<label[^>]*\sfor="([^"]+)"', content))
        for tag in re.findall(r"<(?:input|select|textarea)\b[^>]*>", content):
            if 'type="hidden"' in tag:
                continue
            found = re.search(r'\sid="([^"]+)"', tag)
            assert found is not None, (address, tag)
            assert found[1] in labelled, (address, tag)


def test_the_door_and_the_missing_page_carry_the_policy_too(db: None) -> None:
    assert policy_of(Browser().get(reverse("sign-in"))) == POLICY
    assert policy_of(Browser().get("/no-such-page/")) == POLICY


def test_a_page_may_listen_and_look_and_is_nobody_elses(browser: Browser) -> None:
    headers = browser.get(reverse("today")).headers
    assert {"microphone=(self)", "camera=(self)", "geolocation=()"} <= set(headers["Permissions-Policy"].split(", "))
    assert headers["Cache-Control"] == "private, no-cache"
    assert headers["Referrer-Policy"] == headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert browser.post(reverse("sign-out")).headers["Clear-Site-Data"] == '"cache", "storage"'
