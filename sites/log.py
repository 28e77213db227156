"""One line of the log for every deed that was written: which table, how many rows, who, from where; no content."""

import logging
from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any, Final

from django.db import transaction

log = logging.getLogger(__name__)
DEEDS: Final = {"+": "recorded", "~": "changed", "-": "removed"}
MEMBERS: Final = {"kind": "kind", "site": "site_id", "by": "by_id", "way": "way", "page": "name", "address": "address"}


def tell_when_written(entries: Sequence[Mapping[str, Any]]) -> None:
    """Log the entries of one write once they are kept for good: what is rolled back, as a preview is, wasn't done."""
    if entries:
        transaction.on_commit(partial(_tell, dict(entries[0]), len(entries)))


def _tell(first: Mapping[str, Any], rows: int) -> None:
    deed = DEEDS[first["deed"]]
    members = {name: first[key] for name, key in MEMBERS.items()} | {"rows": rows}
    which = f" {first['object_id']}" if rows == 1 else f", {rows} rows"
    log.info("%s %s%s", deed, first["kind"], which, extra={"members": members})
