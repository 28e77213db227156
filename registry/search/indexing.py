"""Entries of the index, written in the same transaction as the rows that they stand for."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from django.db import transaction
from django.db.models import Model

from registry.search.folding import compact, fold
from registry.search.kinds import KINDS, Kind
from registry.search.models import SearchEntry
from sites.models import Client, Site

BATCH_SIZE = 500
KIND_OF: dict[type[Model], Kind] = {kind.model: kind for kind in KINDS}


def index_rows(kind: Kind, rows: Sequence[Any]) -> None:
    """Write the entries of these rows, new ones and changed ones. Two queries for each batch."""
    clients = _clients(rows)
    entries = [SearchEntry(kind=kind.name, row=row.pk, client_id=clients(row), text=text_of(kind, row)) for row in rows]
    SearchEntry.objects.bulk_create(
        entries,
        batch_size=BATCH_SIZE,
        update_conflicts=True,
        unique_fields=["kind", "row"],
        update_fields=["client", "text"],
    )


def text_of(kind: Kind, row: Any) -> str:
    """Return what a row is found by, as the index holds it.

    >>> text_of(KIND_OF[Site], Site(name="Café", code="nh-1"))
    '\\ncafe\\nnh 1\\nnh1\\n'
    """
    values = [fold(str(getattr(row, name) or "")) for name in (*kind.names, *kind.codes)]
    values += [compact(str(getattr(row, name) or "")) for name in kind.codes]
    return "".join(f"\n{value}" for value in dict.fromkeys(values) if value) + "\n"


def _clients(rows: Sequence[Any]) -> Callable[[Any], int | None]:
    """Return what tells the id of a row's client; None for what all clients share. At most one query."""
    site_ids = {row.site_id for row in rows if hasattr(row, "site_id")}
    of_site = dict(Site.objects.filter(pk__in=site_ids).values_list("pk", "client_id")) if site_ids else {}

    def client_of(row: Any) -> int | None:
        if isinstance(row, Client):
            return row.pk
        return row.client_id if isinstance(row, Site) else of_site.get(getattr(row, "site_id", 0))

    return client_of


def forget_row(kind: Kind, pk: int) -> None:
    """Drop the entry of a row that is gone."""
    SearchEntry.objects.filter(kind=kind.name, row=pk).delete()


@transaction.atomic
def reindex() -> int:
    """Make the whole index anew, and return how many entries it has."""
    SearchEntry.objects.all().delete()
    return sum(_reindexed(kind) for kind in KINDS)


@transaction.atomic
def index_what_is_missing() -> None:
    """Index the kinds that have no entry yet, because the register is older than they are."""
    known = set(SearchEntry.objects.order_by().values_list("kind", flat=True).distinct())
    for kind in KINDS:
        if kind.name not in known:
            _reindexed(kind)


def _reindexed(kind: Kind) -> int:
    number = 0
    for rows in _batches(kind.model._default_manager.order_by("pk").iterator(chunk_size=BATCH_SIZE)):
        index_rows(kind, rows)
        number += len(rows)
    return number


def _batches(rows: Iterable[Any]) -> Iterator[list[Any]]:
    waiting = iter(rows)
    while batch := list(islice(waiting, BATCH_SIZE)):
        yield batch
