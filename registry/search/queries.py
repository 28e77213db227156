"""Reads of the search, ranked.

The rule: first what *is* what was typed (a whole tag, serial, MAC or IP address, or name), then what begins with it,
then where a word begins with it, then where it stands inside. In each rank the kinds stand in the order of
`kinds.py`, and their rows by what was found of them. Two signs are the least to look for, three to look inside. Where
as many rows as are shown of a kind begin with it, nobody looks further.
"""

from collections.abc import Iterable, Sequence
from functools import reduce
from operator import or_
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet

from registry.search.folding import spellings
from registry.search.kinds import KINDS, Kind
from registry.search.models import LAST_SIGN, MOST_CANDIDATES, Beginning, SearchEntry
from sites.models import User
from sites.queries import clients_visible_to

Candidate = tuple[str, int, str]
LIMIT = 10
INSIDE_FROM = 3
RANKS = ("is it", "begins with it", "a word begins with it", "holds it inside")


class Hit(NamedTuple):
    """One row that was found, and how well it fits: the less, the better."""

    kind: Kind
    row: Any
    rank: int


class KindFound(NamedTuple):
    """What was found of one kind, the best first; `more` when there is more than is shown."""

    kind: Kind
    hits: list[Hit]
    more: bool


def found(user: User, typed: str) -> list[KindFound]:
    """Return what `user` may read and `typed` fits, the kind with the best hit first.

    One query of the index for each spelling of what was typed, one more where too few rows begin with it (two, where
    very much fits), and one for each kind that has a hit.
    """
    ranked = _ranked(user, spellings(typed))
    kinds = [_shown(user, kind, ranked[kind.name]) for kind in KINDS if kind.name in ranked]
    # Sorting keeps the order of the kinds where the best hits are equal.
    return sorted((kind for kind in kinds if kind.hits), key=lambda kind: kind.hits[0].rank)


def rows_holding(kind: str, typed: str) -> QuerySet[SearchEntry, Any] | None:
    """Return the numbers of all rows of a kind that hold what was typed; None where that is too short to look inside.

    Who may see them is for the query that asks.
    """
    words = [each for each in spellings(typed) if len(each) >= INSIDE_FROM]
    if not words:
        return None
    wanted = reduce(or_, (Q(text__holds_any=word) for word in words))
    return SearchEntry.objects.filter(wanted, kind=kind).values("row")


def best(kinds: Iterable[KindFound], most: int) -> list[Hit]:
    """Return the best hits of all kinds."""
    hits = [hit for kind in kinds for hit in kind.hits]
    return sorted(hits, key=lambda hit: (hit.rank, KINDS.index(hit.kind)))[:most]


def _ranked(user: User, words: Sequence[str]) -> dict[str, dict[int, tuple[int, str]]]:
    """Return the rank of the candidates and what was found of them, by kind and row."""
    ranks = _patterns(words)
    ranked: dict[str, dict[int, tuple[int, str]]] = {}
    for kind, row, text in _candidates(user, words, ranks) if words else ():
        rank = next(number for number, patterns in enumerate(ranks) if any(each in text for each in patterns))
        rows = ranked.setdefault(kind, {})
        rows[row] = min((rank, text), rows.get(row, (rank, text)))
    return ranked


def _patterns(words: Sequence[str]) -> list[list[str]]:
    """Return for each rank what its texts hold one of."""
    is_it, begins = [f"\n{each}\n" for each in words], [f"\n{each}" for each in words]
    word_begins, inside = [f" {each}" for each in words], [each for each in words if len(each) >= INSIDE_FROM]
    return [is_it, begins, word_begins, *([inside] if inside else [])]


def _candidates(user: User, words: Sequence[str], ranks: Sequence[Sequence[str]]) -> Iterable[Candidate]:
    """Yield what may fit; `visible_to` of each kind still decides on each row.

    The entries of one client are few enough to be read through. Those of all clients are asked by their indexes: what
    fits a hundred thousand rows costs no more than what fits a few.
    """
    if not user.may_write:
        clients = list(clients_visible_to(user).values_list("pk", flat=True))
        theirs = SearchEntry.objects.filter(client__in=clients)
        yield from _holding(theirs, "text__read_through", ranks, are_in_last=len(ranks) == len(RANKS))
        return
    beginning = [entry for word in words for entry in _beginning(f"\n{word}")]
    yield from beginning
    if len({(kind, row) for kind, row, _ in beginning}) < LIMIT:
        yield from _holding(SearchEntry.objects.all(), "text__holds", ranks[2:], are_in_last=True)


def _beginning(pattern: str) -> Iterable[Candidate]:
    """Return what begins so; what is nothing but that comes first, as a line break does before any other sign."""
    entries = SearchEntry.objects.alias(begins=Beginning("text"))
    found = entries.filter(begins__gte=pattern, begins__lt=f"{pattern}{LAST_SIGN}")
    return found.order_by("begins").values_list("kind", "row", "text")[:MOST_CANDIDATES]


def _holding(
    entries: QuerySet[SearchEntry], lookup: str, ranks: Sequence[Sequence[str]], *, are_in_last: bool
) -> Iterable[Candidate]:
    """Yield what fits the last rank; where that is more than is read, or not all, what fits each other one too."""

    def holding(patterns: Iterable[str]) -> Iterable[Candidate]:
        wanted = reduce(or_, (Q((lookup, pattern)) for pattern in patterns))
        return entries.filter(wanted).values_list("kind", "row", "text")[:MOST_CANDIDATES]

    widest = list(holding(ranks[-1]))
    yield from widest
    if len(widest) == MOST_CANDIDATES or not are_in_last:
        for patterns in ranks[:-1]:
            yield from holding(patterns)


def _shown(user: User, kind: Kind, ranks: dict[int, tuple[int, str]]) -> KindFound:
    first = sorted(ranks, key=ranks.__getitem__)
    if user.may_write:
        rows = kind.visible_to(user).in_bulk(first[:LIMIT])
        more = len(first) > LIMIT
    else:
        # Of a client's rows owners may not see all: neither may those crowd theirs out, nor be counted.
        rows = kind.visible_to(user).in_bulk(first[:MOST_CANDIDATES])
        more = len(rows) > LIMIT
    hits = [Hit(kind, rows[pk], ranks[pk][0]) for pk in first if pk in rows]
    return KindFound(kind, hits[:LIMIT], more)
