"""A page's form as a browser sends it: every field as it is shown."""

from html.parser import HTMLParser
from typing import Any


class _Fields(HTMLParser):
    """The fields of the page's last form."""

    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self._select = self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        name, value = given.get("name") or "", given.get("value") or ""
        if tag == "form":
            self.fields = {}
        elif tag == "input" and name and (given.get("type") not in {"checkbox", "radio"} or "checked" in given):
            self.fields[name] = given.get("value", "on" if given.get("type") == "checkbox" else "") or ""
        elif tag == "select":
            self._select, self.fields[name] = name, ""
        elif tag == "option" and "selected" in given:
            self.fields[self._select] = value
        elif tag == "textarea":
            self._area, self.fields[name] = name, ""

    def handle_data(self, data: str) -> None:
        if self._area:
            # HTML drops the newline that Django writes after the tag.
            self.fields[self._area] += data if self.fields[self._area] else data.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""


def fields_of(response: Any) -> dict[str, str]:
    """Return what the last form of a page would send as it stands."""
    parser = _Fields()
    parser.feed(response.content.decode())
    return {name: value for name, value in parser.fields.items() if name != "csrfmiddlewaretoken"}
