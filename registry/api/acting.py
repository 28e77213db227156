"""Runs an action for a request: what the action refuses is an answer, never a fault."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db import DataError, IntegrityError, transaction
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request

from registry.api.problems import KeyUsedError, ParameterError, RefusedByRegisterError
from sites.models import User
from sites.put import RefusedError
from sites.receipts import KeyReusedError, digest_of, once

MEANWHILE = "The register holds something that rules this out, for example a name or number that is taken already."
LONGEST_KEY = 100


@contextmanager
def acting() -> Iterator[None]:
    """Turn what an action raises into the answer 409; all of it is written, or nothing."""
    try:
        with transaction.atomic():
            yield
    except RefusedError:
        raise
    except (IntegrityError, DataError) as error:
        raise RefusedByRegisterError(MEANWHILE) from error
    except (ValueError, OverflowError) as error:
        raise RefusedByRegisterError(str(error)) from error


def done_once(request: Request, action: Callable[[], Any]) -> dict[str, Any]:
    """Run `action`, or return what it gave the last time that the request came with this Idempotency-Key."""
    key = request.headers.get("Idempotency-Key")
    if key is None:
        return _plain(action())
    if not 0 < len(key) <= LONGEST_KEY or not key.isprintable():
        raise ParameterError({"Idempotency-Key": [f"1 to {LONGEST_KEY} printable characters are expected"]})
    digest = digest_of({"path": request.path, "body": request.data})
    assert isinstance(request.user, User)
    try:
        answer: dict[str, Any] = once(by=request.user, key=key, digest=digest, action=lambda: _plain(action())).answer
    except KeyReusedError as error:
        raise KeyUsedError(str(error)) from error
    return answer


def _plain(content: Any) -> dict[str, Any]:
    plain: dict[str, Any] = json.loads(JSONRenderer().render(content))
    return plain
