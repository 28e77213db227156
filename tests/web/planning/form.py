"""The fold plan's form as a browser sends it: every field as it is shown, changed where a test types."""

from html import unescape
from html.parser import HTMLParser
from typing import Any

from django.test import Client as Browser

from registry.audio.models import Zone


class _Form(HTMLParser):
    """Fields of the form with the id "asked"."""

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self._inside, self._select = False, ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "form":
            self._inside = given.get("id") == "asked"
        if not self._inside:
            return
        name, value = given.get("name") or "", given.get("value") or ""
        if tag == "input" and name and (given.get("type") != "checkbox" or "checked" in given):
            self.fields[name] = unescape(value) or ("on" if given.get("type") == "checkbox" else "")
        if tag == "select":
            self._select = name
        if tag == "option" and "selected" in given:
            self.fields[self._select] = value


def shown(browser: Browser, url: str) -> dict[str, str]:
    """Return what the form of a page would send as it stands."""
    parser = _Form()
    parser.feed(browser.get(url).content.decode())
    return parser.fields


def typed(browser: Browser, url: str, **zones: dict[str, str | None]) -> dict[str, Any]:
    """Return what the form sends after something was typed for zones by name; None takes a field away."""
    fields = shown(browser, url)
    for name, changes in zones.items():
        pk = Zone.objects.get(name=name).pk
        for field, value in changes.items():
            fields[f"z{pk}-{field}"] = value  # type: ignore[assignment]
    return {name: value for name, value in fields.items() if value is not None}
