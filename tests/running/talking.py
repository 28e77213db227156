"""A browser's part of a talk with a server behind a proxy that ends TLS: cookies, tokens, forms, files."""

import http.client
import re
from collections.abc import Mapping
from http.cookies import SimpleCookie
from typing import Any, NamedTuple
from urllib.parse import urlencode, urlsplit

from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

HOST = "register.example"


class Answer(NamedTuple):
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def text(self) -> str:
        """The page."""
        return self.body.decode()


class Talk:
    """Every request is a connection of its own, so that any worker may get it."""

    def __init__(self, port: int, cookies: dict[str, str] | None = None) -> None:
        self.port = port
        self.cookies = {} if cookies is None else cookies

    def get(self, path: str, **headers: str) -> Answer:
        """Read a page."""
        return self._send("GET", path, None, headers)

    def post(self, path: str, data: Mapping[str, Any], *, files: bool = False) -> Answer:
        """Send a form, with its token; then read where it leads to."""
        fields = {"csrfmiddlewaretoken": self.cookies.get("__Host-csrf", "")} | data
        body = encode_multipart(BOUNDARY, fields) if files else urlencode(fields).encode()
        kind = MULTIPART_CONTENT if files else "application/x-www-form-urlencoded"
        return self._send("POST", path, body, {"Content-Type": kind, "Origin": f"https://{HOST}"})

    def _send(self, method: str, path: str, body: bytes | None, headers: dict[str, str]) -> Answer:
        proxy = {"Host": HOST, "X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}
        cookie = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.request(method, path, body, proxy | cookie | headers)
            response = connection.getresponse()
            found = Answer(response.status, dict(response.getheaders()), response.read())
            self._keep(response.headers.get_all("Set-Cookie") or [])
        finally:
            connection.close()
        return found

    def _keep(self, lines: list[str]) -> None:
        for line in lines:
            self.cookies |= {name: morsel.value for name, morsel in SimpleCookie(line).items()}


def path_of(answer: Answer) -> str:
    """Return where an answer leads to."""
    return urlsplit(answer.headers["Location"]).path


def linked(page: str, pattern: str) -> str:
    """Return the first address in a page that fits."""
    found = re.search(rf'(?:href|src)="({pattern})"', page)
    assert found, f"no {pattern} in the page"
    return found[1]
