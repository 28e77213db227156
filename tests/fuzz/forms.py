"""Every form of the pages, found by walking them: a new form on a page that is linked is found by itself."""

from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any, NamedTuple
from urllib.parse import urljoin, urlsplit

from django.test import Client as Browser
from django.urls import Resolver404, resolve

# Typed by people; what else a form has (hidden versions, choices) is sent as it stands or as another choice.
TYPED = frozenset({"text", "textarea", "number", "email", "tel", "search", "url", "date", "datetime-local", "time", ""})
PAGES_OF_A_ROUTE = 2
NO_PAGES = (".pdf", ".xlsx", ".json", ".ics", "/survey/", "/file/")  # costly to make, and no form is on them


class Form(NamedTuple):
    """A form: the page it stands on, where and how it is sent, and its fields: kind, value, choices."""

    page: str
    action: str
    method: str
    fields: dict[str, tuple[str, str, tuple[str, ...]]]

    @property
    def name(self) -> str:
        """The name of the route that takes it."""
        return route_of(self.action)

    @property
    def typed(self) -> list[str]:
        """The fields that people type into."""
        return [name for name, (kind, _, _) in self.fields.items() if kind in TYPED]

    def as_shown(self) -> dict[str, str]:
        """Return what is sent when nobody types anything."""
        shown = {name: value for name, (kind, value, _) in self.fields.items() if kind != "file"}
        return {name: value for name, value in shown.items() if name != "csrfmiddlewaretoken"}


class _Page(HTMLParser):
    """The links and the forms of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.links, self.forms = page, list[str](), list[Form]()
        self._form: Form | None = None
        self._name = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "a" and "href" in given and "download" not in given:
            self.links.append(urljoin(self.page, given["href"]))
        elif tag == "form":
            action = urljoin(self.page, given.get("action", "") or self.page)
            self._form = Form(self.page, action, given.get("method", "get").lower(), {})
            self.forms.append(self._form)
        elif self._form is not None:
            self._field(tag, given, given.get("name", ""))

    def _field(self, tag: str, given: dict[str, str], name: str) -> None:
        assert self._form is not None
        fields, value = self._form.fields, given.get("value", "")
        if tag == "option" and self._name in fields:
            kind, chosen, choices = fields[self._name]
            fields[self._name] = (kind, value if "selected" in given else chosen, (*choices, value))
        elif tag in {"select", "textarea"} and name:
            self._name, fields[name] = name, (tag, "", ())
        elif tag in {"input", "button"} and name:
            kind = given.get("type", "" if tag == "input" else "submit")
            _, chosen, choices = fields.get(name, ("", "", ()))
            idle = kind in {"checkbox", "radio"} and "checked" not in given
            fields[name] = (kind, chosen if idle else value, (*choices, value))

    def handle_data(self, data: str) -> None:
        kind, value, choices = self._form.fields.get(self._name, ("", "", ())) if self._form else ("", "", ())
        if self._form is not None and kind == "textarea":
            self._form.fields[self._name] = (kind, value + data, choices)

    def handle_endtag(self, tag: str) -> None:
        if tag in {"textarea", "select"}:
            self._name = ""
        elif tag == "form":
            self._form, self._name = None, ""


def route_of(address: str) -> str:
    """Return the name of the route that an address belongs to; empty for none of ours, and for the admin."""
    try:
        match = resolve(urlsplit(address).path)
    except Resolver404:
        return ""
    return "" if match.app_names else str(match.url_name)


def walked(browser: Browser, starts: list[str], leave: frozenset[str]) -> Iterator[Form]:
    """Walk from pages by their links to some pages of every route; yield each form with other fields once."""
    waiting, visited, seen = list(starts), dict[str, int](), set[Any]()
    done = set[str]()
    while waiting:
        address = waiting.pop(0)
        path, name = address.partition("#")[0], route_of(address)
        enough = path in done or (visited.get(name, 0) >= PAGES_OF_A_ROUTE and path not in starts)
        if enough or not name or name in leave or urlsplit(path).path.endswith(NO_PAGES):
            continue
        done.add(path)
        answer = browser.get(path)
        if answer.status_code != 200 or answer.streaming or "html" not in answer.headers["Content-Type"]:
            _ = list(answer)  # read to its end, a file is closed
            continue
        visited[name] = visited.get(name, 0) + 1
        page = _Page(path)
        page.feed(answer.content.decode())
        waiting += page.links
        for form in page.forms:
            key = (form.name, form.method, frozenset(form.fields))
            # A form without fields is one that only a script sends.
            if form.fields and form.name and form.name not in leave and key not in seen:
                seen.add(key)
                yield form


class _Texts(HTMLParser):
    """The texts of all inputs and text areas of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found = list[str]()
        self._area = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._area = tag == "textarea"
        if tag == "textarea":
            self.found.append("")
        elif tag == "input":
            self.found.append(dict(attrs).get("value") or "")

    def handle_data(self, data: str) -> None:
        if self._area:
            self.found[-1] += data

    def handle_endtag(self, tag: str) -> None:
        self._area = False


def shown_texts(page: str) -> set[str]:
    """Return what stands in the fields of a page."""
    parser = _Texts()
    parser.feed(page)
    return {text.replace("\r\n", "\n").replace("\r", "\n").strip() for text in parser.found}
