"""Recording that an owner was given a report: what held then stays, and the next report is compared with it."""

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from registry.visits.models import OwnersReport
from registry.visits.queries import last_owners_report
from sites.models import Client, Site, User


@transaction.atomic
def record_owners_report(
    *, by: User, client: Client, site: Site | None, content: Mapping[str, Any], at: datetime | None = None
) -> OwnersReport:
    """Record a report of a client, or of one of its sites, with a snapshot of what it stands on.

    Raises ValueError when nothing has changed since the last one.
    """
    Client.objects.select_for_update().get(pk=client.pk)  # two presses at once record it once
    digest = digest_of(content)
    last = last_owners_report(client, site)
    if last is not None and last.digest == digest:
        raise ValueError(f"nothing has changed since the report that {last.by} recorded: no need for another one")
    made_at = at or timezone.now()
    return OwnersReport.objects.create(
        client=client, site=site, made_at=made_at, by=by, digest=digest, content=dict(content)
    )


def digest_of(content: Mapping[str, Any]) -> str:
    """Return the SHA-256 of a snapshot, the same for the same content."""
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode()).hexdigest()
