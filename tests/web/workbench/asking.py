"""The command as a function: what the tests compare pages and published values with."""

import json
from io import StringIO
from typing import Any

from django.core.management import call_command


def calc(name: str, typed: dict[str, str]) -> dict[str, Any]:
    """Run `manage.py calc NAME … --json` and return what it writes."""
    out = StringIO()
    call_command("calc", name, *(f"{key}={value}" for key, value in typed.items()), "--json", stdout=out)
    found: dict[str, Any] = json.loads(out.getvalue())
    return found
