"""A short run of `tests.benchmarks.fuzz`: mutated surveys and requests are taken whole or refused without a trace."""

import io
import zipfile
from collections import Counter

import pytest
from django.test import override_settings

from registry.exchange.folder import SurveyRefusedError, files_of_zip
from sites.models import Site, User
from tests.fuzz.cases import prepare

pytestmark = pytest.mark.django_db

CASES = 120


def test_mutated_surveys_and_requests_are_taken_whole_or_refused_without_a_trace(demo: Site, manager: User) -> None:
    with override_settings(ALLOWED_HOSTS=["localhost"]):
        cases = prepare(seed=20, by=manager, site=demo)
        ended = Counter(cases.run(number).word.split()[0].rstrip(",") for number in range(CASES))
    assert cases.nothing_differs()
    assert min(ended["taken"], ended["refused"]) > CASES // 10


def test_a_zip_that_points_outside_itself_is_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("zones.csv", "site,zone\n")
    content = packed.getvalue()
    place = content.index(b"PK\x05\x06") + 16  # where the central directory says that it begins
    forged = content[:place] + (10_000).to_bytes(4, "little") + content[place + 4 :]
    with pytest.raises(SurveyRefusedError, match="a zip file that opens"):
        files_of_zip(forged, most_bytes=1000)
