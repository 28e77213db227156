"""Entries of the index, written in the same transaction as the rows that they stand for."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
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
    """Write the entries of these rows, where they aren't there already. Two queries for each batch, or four."""
    for batch in _batches(rows):
        clients = _clients(batch)
        _write(kind, {row.pk: {(clients(row), text) for text in texts_of(kind, row)} for row in batch})


def _write(kind: Kind, wanted: Mapping[int, set[tuple[int | None, str]]]) -> None:
    entries = SearchEntry.objects.filter(kind=kind.name)
    there: dict[int, set[tuple[int | None, str]]] = defaultdict(set)
    for row, client, text in entries.filter(row__in=wanted).values_list("row", "client", "text"):
        there[row].add((client, text))
    if changed := [row for row, values in wanted.items() if values != there[row]]:
        entries.filter(row__in=changed).delete()
        SearchEntry.objects.bulk_create(
            (
                SearchEntry(kind=kind.name, row=row, client_id=client, text=text)
                for row in changed
                for client, text in wanted[row]
            ),
            batch_size=BATCH_SIZE,
        )


def texts_of(kind: Kind, row: Any) -> list[str]:
    """Return what a row is found by, as the index holds it.

    >>> texts_of(KIND_OF[Site], Site(name="Café", code="nh-1"))
    ['\\ncafe\\n', '\\nnh 1\\n', '\\nnh1\\n']
    """
    values = [fold(str(getattr(row, name) or "")) for name in (*kind.names, *kind.codes)]
    values += [compact(str(getattr(row, name) or "")) for name in kind.codes]
    return [f"\n{value}\n" for value in dict.fromkeys(values) if value]


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
    """Drop the entries of a row that is gone."""
    SearchEntry.objects.filter(kind=kind.name, row=pk).delete()


@transaction.atomic
def reindex() -> int:
    """Make the whole index anew, and return how many things can be found."""
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
