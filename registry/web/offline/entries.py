"""Entries that were made on a phone: read, done exactly once, and answered so that the phone knows what to keep.

An entry is a form of one of the register's pages as it was sent: its address, its fields, a photo, and when.
"""

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError
from django.http import Http404, QueryDict
from django.urls import Resolver404, resolve
from django.utils.dateparse import parse_datetime

from registry.baselines.restoring import AnsweredMeanwhileError
from registry.visits.under_way import happened
from registry.web.access import SignedIn
from registry.web.offline.kinds import KINDS, Asked, Done, NotValidError
from registry.web.saving import MEANWHILE
from sites.photos import MOST_BYTES
from sites.put import RefusedError
from sites.receipts import KeyReusedError, digest_of, once
from sites.versions import ChangedMeanwhileError

GONE: Final = "This is no longer there, or no longer yours to see. Write down what is still needed, then discard it."
READS_ONLY: Final = "Your account can read this, but not change it."
# The phone moves an entry's version on when an earlier entry of its own was taken: still the same entry.
VERSIONS: Final = frozenset({"version", "seen"})


class EntryError(ValueError):
    """Raised for what is no entry at all; nothing was looked at."""

    def __init__(self, says: str, status: int = 400) -> None:
        super().__init__(says)
        self.status = status


@dataclass(frozen=True)
class Change:
    """One thing that somebody else changed meanwhile: what it was, what it is, who and when."""

    label: str
    old: str
    new: str
    by: str
    at: datetime


@dataclass(frozen=True)
class Answer:
    """What became of an entry: accepted, already accepted, refused, or in conflict with somebody else's."""

    answer: str
    why: str = ""
    problems: dict[str, list[str]] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    version: str = ""
    page: str = ""

    def content(self) -> dict[str, Any]:
        """Return plain data."""
        return asdict(self)


@dataclass(frozen=True)
class Entry:
    """One entry as it came."""

    key: str
    kind: Callable[[Asked], Done]
    asked: Asked
    digest: str


def read_entry(request: SignedIn) -> Entry:
    """Return the entry of a request.

    Raises EntryError when it is none, or when somebody else made it than who is signed in now.
    """
    try:
        sent = json.loads(request.POST["entry"])
        key, address, fields = str(UUID(sent["key"])), str(sent["address"]), list(sent["fields"])
        at, person, data = parse_datetime(sent["at"]), int(sent["person"]), _typed(fields)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise EntryError("this is no entry of a phone: key, person, address, at and fields are expected") from error
    if person != request.user.pk:
        raise EntryError("somebody else made this entry: only they can send it, once they are signed in", 403)
    if at is None:
        raise EntryError("an entry says when it was made, with its offset from UTC")
    files = _files(request)
    name, ids = _addressed(address)
    asked = Asked(request=request, ids=ids, data=data, files=request.FILES, at=at)
    content = {"address": address, "at": at, "fields": [each for each in fields if each[0] not in VERSIONS]}
    return Entry(key, KINDS[name], asked, digest_of(content | {"files": files}))


def _typed(fields: list[Any]) -> QueryDict:
    data = QueryDict(mutable=True)
    for name, value in fields:
        data.appendlist(str(name), str(value))
    return data


def _addressed(address: str) -> tuple[str, dict[str, Any]]:
    try:
        match = resolve(address)
    except Resolver404 as error:
        raise EntryError("nothing can be recorded at this address") from error
    if match.url_name not in KINDS:
        raise EntryError("nothing can be recorded at this address without the network")
    return str(match.url_name), match.kwargs


def _files(request: SignedIn) -> dict[str, str]:
    """Return the digest of each file; one that is too large isn't read."""
    found = {}
    for name in request.FILES:
        file: Any = request.FILES[name]
        if file.size > MOST_BYTES:
            says = f"The photo has {file.size / 2**20:.1f} MB: at most {MOST_BYTES // 2**20} MB are taken."
            raise EntryError(says, 422)
        found[name] = digest_of(file.read())
        file.seek(0)
    return found


def answer_to(entry: Entry) -> Answer:
    """Do what an entry says, once, and return what became of it. What is refused leaves nothing behind."""
    try:
        given = once(by=entry.asked.request.user, key=entry.key, digest=entry.digest, action=lambda: _done(entry))
    except (ChangedMeanwhileError, AnsweredMeanwhileError) as changed:
        shown = [Change(each.label, each.old, each.new, each.by, each.at) for each in changed.changes]
        return Answer("conflict", str(changed), changes=shown, version=changed.version)
    except NotValidError as wrong:
        return Answer("refused", "Something in it can't be taken.", problems=wrong.problems)
    except RefusedError as refused:
        said: dict[str, list[str]] = {}
        for problem in refused.problems:
            said.setdefault(problem.field.removesuffix("_id"), []).append(problem.says)
        return Answer("refused", "Something in it can't be taken.", problems=said)
    except Http404:
        return Answer("refused", GONE)
    except PermissionDenied:
        return Answer("refused", READS_ONLY)
    except IntegrityError:
        return Answer("refused", MEANWHILE)
    except (KeyReusedError, ValueError) as refused:
        return Answer("refused", _sentence(str(refused)))
    return Answer("already accepted" if given.again else "accepted", **given.answer)


def _done(entry: Entry) -> dict[str, str]:
    # Every clock is asked first: some of the actions take whatever time they are given.
    happened(entry.asked.at)
    return entry.kind(entry.asked)._asdict()


def _sentence(says: str) -> str:
    return f"{says[:1].upper()}{says[1:].removesuffix('.')}."
