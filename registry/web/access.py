"""Who gets in: a stranger finds nothing (404), a reader who tries to write is refused (403)."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from django.core.exceptions import PermissionDenied
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404

from sites.models import User
from sites.versions import with_version

M = TypeVar("M", bound=Model)
P = ParamSpec("P")


class SignedIn(HttpRequest):
    """A request behind LoginRequiredMiddleware: somebody is signed in."""

    user: User


View = Callable[Concatenate[SignedIn, P], HttpResponseBase]


def visible(queryset: QuerySet[M], **lookup: Any) -> M:
    """Return one object of an already scoped queryset; for anybody else's there is only a 404."""
    return get_object_or_404(queryset, **lookup)


def changeable(request: SignedIn, queryset: QuerySet[M], **lookup: Any) -> M:
    """Return one object in order to change it, with its version: 404 for a stranger first, then 403 for a reader."""
    found = visible(with_version(queryset), **lookup)
    require_writer(request)
    return found


def require_writer(request: SignedIn) -> None:
    """Refuse people who only read."""
    if not request.user.may_write:
        raise PermissionDenied("Your account can read this, but not change it.")


def writer(view: View[P]) -> View[P]:
    """Guard a page that needs no object of its own (a new client, an import). With an object, use `changeable`."""

    @wraps(view)
    def guarded(request: SignedIn, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        require_writer(request)
        return view(request, *args, **kwargs)

    return guarded
