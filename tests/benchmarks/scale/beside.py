"""What a page takes beside its own statements sent bare, Django's admin, and a workbook, on the large set."""

import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any, NamedTuple

from django.template import engines
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from openpyxl import Workbook, load_workbook

from registry.baselines.models import Baseline
from registry.demo.garden_centre import CODE
from sites.models import User
from tests.benchmarks.scale.timing import fetched, processor_ms

PAGES = ("/equipment/", "/sites/", "/zones/", "/lines/", f"/sites/{CODE}/")
BASELINE = "/baselines/1/"
BARELY = "its own statements in a bare template"
BARE = """{% for rows in tables %}<table>{% for row in rows %}<tr>{% for value in row %}<td>{{ value }}</td>{% endfor %}
</tr>{% endfor %}</table>{% endfor %}"""
ADMIN = {
    "/equipment/": "/admin/equipment/item/",
    "/zones/": "/admin/audio/zone/",
    "/sites/": "/admin/client_sites/site/",
}
Work = Callable[[], object]


class Beside(NamedTuple):
    """Milliseconds of a processor for a page, and for what stands beside it."""

    page: str
    what: str
    page_ms: float
    other_ms: float


def compared(connection: Any, browser: Browser, rounds: int) -> list[Beside]:
    """Return every comparison; `connection` is the one that the app sees."""
    steward = Browser(HTTP_HOST="localhost")
    steward.force_login(_steward())

    def beside(page: str, what: str, other: Work) -> Beside:
        """Take both turn about, so that what else the machine does falls on both."""
        taken: list[tuple[float, float]] = []
        for _ in range(rounds + 1):
            times = [_took(connection, work) for work in (lambda: fetched(browser, page), other)]
            taken.append((times[0], times[1]))
        page_ms, other_ms = (median(times) for times in zip(*(taken[1:] or taken), strict=True))
        return Beside(page, what, page_ms, other_ms)

    bare = [beside(page, BARELY, _replayer(connection, browser, page)) for page in PAGES]
    admin = [beside(page, "admin list", lambda at=at: fetched(steward, at)) for page, at in ADMIN.items()]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "baselines.xlsx"
        wanted = _write(path)
        return [*bare, *admin, beside(BASELINE, "a workbook of all baselines", lambda: _read(path, wanted))]


def _took(connection: Any, work: Work) -> float:
    started = processor_ms(connection)
    work()
    return processor_ms(connection) - started


def _steward() -> User:
    user, _ = User.objects.get_or_create(
        username="steward", defaults={"is_staff": True, "is_superuser": True, "role": "manager"}
    )
    return user


def _replayer(connection: Any, browser: Browser, page: str) -> Callable[[], str]:
    """Return what sends the statements of a page again and puts every value into a bare template, and nothing else."""
    with CaptureQueriesContext(connection) as caught:
        fetched(browser, page)
        statements = [query["sql"] for query in caught.captured_queries if query["sql"].startswith("SELECT")]

    template = engines["django"].from_string(BARE)

    def replay() -> str:
        tables = []
        with connection.cursor() as cursor:
            for statement in statements:
                cursor.execute(statement)
                tables.append(cursor.fetchall())
        return str(template.render({"tables": tables}))

    return replay


def _write(path: Path) -> str:
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Baselines")
    for baseline in Baseline.objects.select_related("site").order_by("site__name").iterator(chunk_size=200):
        for name, zone in baseline.content["zones"].items():
            sheet.append([baseline.site.code, baseline.number, name, zone["level_db"], zone["dial"], zone["cap"]])
    book.save(path)
    return CODE


def _read(path: Path, code: str) -> list[tuple[Any, ...]]:
    book = load_workbook(path, read_only=True)
    found = [row for row in book["Baselines"].iter_rows(values_only=True) if row[0] == code]
    book.close()
    assert found
    return found
