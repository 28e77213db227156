"""Clients."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from rest_framework.exceptions import PermissionDenied

from registry.api.filters import TextFilter
from registry.api.rows import Row
from registry.api.views import Added, Changed
from sites.editing import add_client, save_client
from sites.models import Client, User
from sites.queries import clients_visible_to
from sites.versions import version_of


class ClientRow(Row):
    """The business that pays."""

    class Meta:
        """Everything."""

        model = Client
        fields = ("id", "name", "contact", "email", "phone")


class ClientFilter(django_filters.FilterSet):
    """By name."""

    name = TextFilter("name", label="The exact name.")


class Clients(Added, Changed):
    """Clients: the businesses that pay."""

    serializer_class = ClientRow
    filterset_class = ClientFilter
    search_fields = ("name", "contact", "email")
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[Client]:
        """Return the reader's clients."""
        return clients_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Client:
        """Record a client; who sees only some clients wouldn't see the new one."""
        if not by.sees_every_client:
            raise PermissionDenied("This token is limited to its clients: it can't record another one.")
        return add_client(by=by, values=values)

    def change(self, by: User, row: Client, values: dict[str, Any]) -> Client:
        """Change a client."""
        return save_client(by=by, client=row, values=values, version=version_of(row))
