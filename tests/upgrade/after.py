"""Runs on a loaded dump, as a program of its own: updates it, prints what is in it then, and how its pages answer."""

# ruff: noqa: E402 (Django has to be set up first)
import hashlib
import json
import os
import sys
from collections.abc import Iterator
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")

import django

django.setup()

from django.core.management import call_command
from django.db import connection
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, Zone
from registry.baselines.models import Baseline, Restore
from registry.equipment.models import Item
from registry.exchange.checking import check_site
from registry.planning.models import Commissioning, FoldPlan
from sites.models import Site, User


def recorded() -> dict[str, Any]:
    """Return what must be the same before and after: rows per table, baselines, what every line carries."""
    tables = [name for name in connection.introspection.table_names() if not name.startswith(("auth_", "django_"))]
    baselines = Baseline.objects.order_by("pk")
    return {
        "rows": {table: _count(table) for table in tables},
        "baselines": {str(each.pk): _digest(each.content) for each in baselines},
        "sites": {site.code: check_site(site) for site in Site.objects.order_by("code")},
    }


def _count(table: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(table)}")
        return int(cursor.fetchone()[0])


def _digest(content: Any) -> str:
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def addresses() -> Iterator[str]:
    """Return the main pages, and one of each thing that was recorded."""
    yield from (reverse(name) for name in ("today", "clients", "history", "visits", "findings", "people"))
    yield from (reverse("site", args=[site.code]) for site in Site.objects.all())
    for site in Site.objects.filter(code="acre"):
        for name in ("site-documents", "door-card", "commissionings"):
            yield reverse(name, args=[site.code])
    one_each = {"line": Line, "zone": Zone, "item": Item, "baseline": Baseline, "restore": Restore}
    for name, model in (one_each | {"commissioning": Commissioning, "fold-plan": FoldPlan}).items():
        yield from (reverse(name, args=[pk]) for pk in model._default_manager.values_list("pk", flat=True)[:3])


def answers() -> dict[str, int]:
    """Return the status of every address, as the manager gets it."""
    browser = Browser(SERVER_NAME="localhost")
    browser.force_login(User.objects.get(username="manager"), backend="django.contrib.auth.backends.ModelBackend")
    return {address: browser.get(address).status_code for address in addresses()}


def update() -> None:
    """Do what README tells to do after an update."""
    call_command("migrate", verbosity=0)
    call_command("check", stdout=sys.stderr)
    call_command("recheck", stdout=sys.stderr)


if __name__ == "__main__":
    update()
    json.dump(recorded() | {"answers": answers()}, sys.stdout)
