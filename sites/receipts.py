"""Exactly once: a request that names itself is done the first time and only answered after that."""

import hashlib
import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any, Final, NamedTuple

from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, transaction
from django.utils import timezone

from sites.models import Receipt, User

KEPT_FOR: Final = timedelta(days=90)


class KeyReusedError(ValueError):
    """Raised when a key comes back with other content."""


class Once(NamedTuple):
    """The answer, and whether it was given before."""

    answer: Any
    again: bool


def digest_of(content: Any) -> str:
    """Return the SHA-256 of bytes, or of plain data whatever the order of its keys.

    >>> digest_of({"a": 1, "b": 2}) == digest_of({"b": 2, "a": 1})
    True
    """
    data = (
        content if isinstance(content, bytes) else json.dumps(content, sort_keys=True, cls=DjangoJSONEncoder).encode()
    )
    return hashlib.sha256(data).hexdigest()


def once(*, by: User, key: str, digest: str, action: Callable[[], Any]) -> Once:
    """Run `action` and keep its answer (plain data) under `key`, in one transaction; the next time return it.

    When `action` raises, nothing is kept, and the same key may try again. Of two at the same time the second waits for
    the first. Raises KeyReusedError when `key` stands for something else.
    """
    try:
        with transaction.atomic():
            receipt = Receipt.objects.create(user=by, key=key, digest=digest)
            receipt.answer = action()
            receipt.save(update_fields=["answer"])
            return Once(receipt.answer, again=False)
    except IntegrityError:
        known = Receipt.objects.filter(user=by, key=key).first()
        if known is None:
            raise  # the action's own constraint
    if known.digest != digest:
        raise KeyReusedError(f"the key {key} was used for something else: send it with a new key")
    return Once(known.answer, again=True)


def forget_old_receipts() -> int:
    """Delete receipts of which no client waits any more, and return how many."""
    return Receipt.objects.filter(received_at__lt=timezone.now() - KEPT_FOR).delete()[0]
