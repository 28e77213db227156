"""Reading a page as a person does: its words, its queries, what stands beside a field."""

import io
import re
from html import unescape
from typing import Any

from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from openpyxl import load_workbook


def text_of(response: Any) -> str:
    """Return the visible words of a page, white space runs made one space."""
    page = re.sub(r"<title>.*?</title>|<datalist.*?</datalist>", " ", response.content.decode(), flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def answer_of(response: Any) -> str:
    """Return the first sentence of a page."""
    found = re.search(r'<p class="answer">(.*?)</p>', response.content.decode(), flags=re.DOTALL)
    assert found is not None
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", found[1])).split())


def heading_of(response: Any) -> str:
    """Return the page's only first-level heading."""
    found = re.findall(r"<h1>(.*?)</h1>", response.content.decode(), flags=re.DOTALL)
    assert len(found) == 1
    return unescape(found[0]).strip()


def queries_of(browser: Browser, url: str) -> int:
    """Return how many queries a page costs, an export read to its end."""
    with CaptureQueriesContext(connection) as captured:
        response = browser.get(url)
        assert response.status_code == 200
        if response.streaming:
            list(response.streaming_content)  # type: ignore[attr-defined]
    return len(captured)


def csv_of(response: Any) -> list[str]:
    """Return the lines of an export, without the mark at its beginning."""
    content = b"".join(response.streaming_content).decode("utf-8")
    assert content.startswith("\ufeff")
    return content.removeprefix("\ufeff").splitlines()


def xlsx_of(response: Any) -> Any:
    """Return the only sheet of an export."""
    (sheet,) = load_workbook(io.BytesIO(b"".join(response.streaming_content)))
    return sheet
