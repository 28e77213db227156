"""The API keeps what its OpenAPI description promises: schemathesis sends what fits it and what doesn't, all checks on.

A short run with a fixed seed. The long one, with every boundary of every field (some 7000 requests, for use by hand):
EVENKEEL_CONTRACT_EXAMPLES=100 pytest tests/api/test_contract.py
"""

import os
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, settings
from schemathesis.config import SchemathesisConfig

from registry.api import answers
from registry.api.schema import document
from registry.wsgi import application
from sites.models import Site
from tests.api.conftest import Program, fill_site

LONG = os.environ.get("EVENKEEL_CONTRACT_EXAMPLES")
EXAMPLES = int(LONG or 5)
CONFIG = SchemathesisConfig.from_dict(
    {
        "seed": 1,
        "phases": {"coverage": {"enabled": bool(LONG)}},
        "generation": {"allow-x00": False, "mode": "all"},
        "checks": {
            # A change without If-Match gets 428, which RFC 6585 has for this; one of something else gets 412.
            "missing_required_header": {"expected-statuses": ["400", "401", "403", "406", "415", "422", "428"]},
            # The key of an earlier example, with another body, gets 422.
            "positive_data_acceptance": {"expected-statuses": ["2xx", "304", "401", "403", "404", "409", "412", "422"]},
        },
    }
)


def share_connection() -> None:
    """Let requests of the bare application share the test's transaction; Django's own client undoes it each time."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)


@pytest.fixture
def register(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two sites with one row of every kind; whoever is refused often is not told to wait."""
    monkeypatch.setattr(answers, "wait_for_stranger", lambda request: None)
    fill_site("south-barn", "South Ltd")


schema = schemathesis.openapi.from_dict(document(), config=CONFIG)
schema.app = application


@schema.parametrize()
@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_every_operation_keeps_the_contract(case: Any, register: None, writer: Program) -> None:
    if "If-Match" in case.headers and case.method in {"PATCH", "DELETE"}:
        known = writer.get(case.formatted_path)
        case.headers["If-Match"] = known.headers.get("ETag", case.headers["If-Match"])
    share_connection()
    case.call_and_validate(headers={"Authorization": writer.defaults["HTTP_AUTHORIZATION"]})
