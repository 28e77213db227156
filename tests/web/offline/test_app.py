"""What a phone asks before it installs the app: manifest and icons (W3C Web Application Manifest), and the worker."""

import io
import json
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client as Browser
from PIL import Image

from registry.web.offline import app


def test_the_manifest_names_icons_of_the_sizes_that_it_says() -> None:
    response = Browser().get("/manifest.webmanifest")
    assert response.headers["Content-Type"] == "application/manifest+json"
    content = response.json()
    assert (content["display"], content["scope"], content["start_url"]) == ("standalone", "/", "/")
    # Chromium asks for 192 and 512 pixels, Android for one that may be cut round ("maskable"): common practice.
    assert {(icon["sizes"], icon["purpose"]) for icon in content["icons"]} == {
        ("192x192", "any"),
        ("512x512", "any"),
        ("512x512", "maskable"),
    }
    for icon in content["icons"]:
        found = finders.find(icon["src"].removeprefix("/static/"))
        assert isinstance(found, str)
        data = Path(found).read_bytes()
        assert len(data) < 8192
        picture = Image.open(io.BytesIO(data))
        assert icon["sizes"] == f"{picture.width}x{picture.height}"


def test_the_worker_serves_the_whole_register_and_is_asked_for_anew_each_time() -> None:
    response = Browser().get("/service-worker.js")
    assert response.headers["Content-Type"].startswith("text/javascript")
    assert response.headers["Cache-Control"] == "no-cache"
    text = response.content.decode()
    (shell,) = re.findall(r"^const SHELL = (.*);$", text, re.MULTILINE)
    for address in json.loads(shell):
        name = address.removeprefix("/static/")
        assert Browser().get(address).status_code == 200 if name == address else finders.find(name), address


def test_a_changed_file_makes_another_version(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "a.js").write_text("1")
    monkeypatch.setattr(app, "STATIC", tmp_path)
    before = app.version()
    assert app.version() == before
    (tmp_path / "a.js").write_text("2")
    assert app.version() != before
