"""What every resource can do: be listed and read; and, where an action stands behind it, be added, changed, removed."""

from typing import Any, ClassVar

from django.db import transaction
from django.db.models import QuerySet
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.viewsets import GenericViewSet

from registry.api.acting import acting, done_once
from registry.api.conditional import answered, etag_of, require_match
from registry.api.rows import Row
from sites.locks import lock_row
from sites.models import User
from sites.versions import with_version


class Resource(GenericViewSet[Any]):
    """Rows of one kind that can be listed and read.

    A subclass says `rows` (what the reader may see), `serializer_class`, `orders` (the usual one first) and, if need
    be, `filterset_class`, `search_fields` and `detail_serializer_class`.
    """

    lookup_value_regex = "[0-9]+"
    orders: ClassVar[tuple[str, ...]] = ("id",)
    detail_serializer_class: ClassVar[type[BaseSerializer[Any]] | None] = None
    change_serializer_class: ClassVar[type[Row] | None] = None

    def rows(self, user: User) -> QuerySet[Any]:
        """Return the rows that `user` may see, with all that their JSON needs."""
        raise NotImplementedError

    def get_queryset(self) -> QuerySet[Any]:
        """Return the rows of who asks."""
        return self.rows(self.request.user)

    def get_serializer_class(self) -> type[BaseSerializer[Any]]:
        """Return what the rows look like in this answer."""
        detail = self.detail_serializer_class
        return detail if detail is not None and self.action != "list" else super().get_serializer_class()

    def shown(self, row: Any) -> Any:
        """Return the JSON of one row."""
        return self.get_serializer(row).data

    def list(self, request: Request) -> Response:
        """List the rows that you may read."""
        page = self.paginate_queryset(self.filter_queryset(self.get_queryset()))
        assert page is not None
        assert self.paginator is not None
        return answered(request, self.paginator.get_paginated_response(self.get_serializer(page, many=True).data).data)

    def retrieve(self, request: Request, pk: str) -> Response:
        """Read one."""
        return answered(request, self.shown(self.get_object()))


class Added(Resource):
    """Rows that can be added: `add` calls the action."""

    def add(self, by: User, values: dict[str, Any]) -> Any:
        """Write a new row and return it."""
        raise NotImplementedError

    add_serializer_class: ClassVar[type[BaseSerializer[Any]] | None] = None

    def create(self, request: Request) -> Response:
        """Record a new one."""
        taken = self.add_serializer_class or self.get_serializer_class()
        body: Any = taken(data=request.data, context=self.get_serializer_context())
        body.is_valid(raise_exception=True)
        return self.created(request, lambda: self.add(request.user, body.values()))

    def created(self, request: Request, action: Any) -> Response:
        """Answer 201 with the row that `action` returns, once for each Idempotency-Key."""

        def made() -> Any:
            with acting():
                row = action()
            return self.shown(self.get_queryset().get(pk=row.pk))

        shown = done_once(request, made)
        place = request.build_absolute_uri(self.reverse_action("detail", args=[shown["id"]]))
        return Response(shown, status=201, headers={"Location": place, "ETag": etag_of(shown)})


class Changed(Resource):
    """Rows that can be changed: `change` calls the action."""

    def change(self, by: User, row: Any, values: dict[str, Any]) -> Any:
        """Write the row and return it."""
        raise NotImplementedError

    def partial_update(self, request: Request, pk: str) -> Response:
        """Change the fields that are sent; the others stay."""
        with transaction.atomic():
            row = self.locked()
            changed = self.change_serializer_class or self.get_serializer_class()
            body = changed(row, data=request.data, partial=True, context=self.get_serializer_context())
            body.is_valid(raise_exception=True)
            require_match(request, self.shown(row))
            with acting():
                self.change(request.user, row, body.values())
            shown = self.shown(self.get_queryset().get(pk=row.pk))
        return Response(shown, headers={"ETag": etag_of(shown)})

    def locked(self) -> Any:
        """Return the row to be written, which nobody else writes until the transaction ends, with its version.

        Rows that are edited with it have no lock: by its version the action sees when one of them was changed.
        """
        lock_row(self.get_object())
        return with_version(self.get_queryset()).get(pk=self.kwargs["pk"])


class Removed(Changed):
    """Rows that can be taken away: `remove` calls the action. Their history stays."""

    def remove(self, by: User, row: Any) -> None:
        """Take the row away."""
        raise NotImplementedError

    def destroy(self, request: Request, pk: str) -> Response:
        """Take it away."""
        with transaction.atomic():
            row = self.locked()
            require_match(request, self.shown(row))
            with acting():
                self.remove(request.user, row)
        return Response(status=204)
