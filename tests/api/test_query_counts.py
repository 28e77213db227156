"""A list costs as many queries with three rows as with one."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.api.urls import RESOURCES
from sites.models import Site
from tests.api.conftest import Program, fill_site


def queries_of(program: Program, path: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert program.read(path).status_code == 200
    return len(captured)


@pytest.fixture
def counted(site: Site, reader: Program) -> dict[str, tuple[int, int]]:
    """Return the queries of every list with the rows of one site, and of three."""
    reader.read("sites/")  # the first use of a token is noted
    names = sorted(RESOURCES)
    one = [queries_of(reader, f"{name}/") for name in names]
    for number in (2, 3):
        fill_site(f"site-{number}", f"Client {number}")
    three = [queries_of(reader, f"{name}/") for name in names]
    return dict(zip(names, zip(one, three, strict=True), strict=True))


def test_lists_cost_the_same_with_more_rows(counted: dict[str, tuple[int, int]], reader: Program) -> None:
    assert {name: pair for name, pair in counted.items() if pair[0] != pair[1]} == {}
    assert max(three for _, three in counted.values()) <= 10
