"""What narrows a list: exact parameters, a search, an order. A parameter that nobody knows is refused, not ignored."""

from datetime import UTC, datetime
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet
from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import extend_schema_field
from rest_framework.filters import BaseFilterBackend, SearchFilter
from rest_framework.request import Request

from registry.api.paging import LARGEST_ID
from registry.api.problems import ParameterError

LONGEST = 200
ID = {"type": "integer", "minimum": 1, "maximum": LARGEST_ID}


@extend_schema_field(ID)
class IdFilter(django_filters.Filter):
    """By the id of a related row; one that isn't visible matches nothing."""

    field_class = forms.IntegerField

    def __init__(self, field_name: str, **kwargs: Any) -> None:
        super().__init__(field_name, min_value=1, max_value=LARGEST_ID, **kwargs)


@extend_schema_field({"type": "string", "minLength": 1, "maxLength": LONGEST})
class TextFilter(django_filters.CharFilter):
    """By a text, exactly as it is."""

    def __init__(self, field_name: str, **kwargs: Any) -> None:
        super().__init__(field_name, max_length=LONGEST, strip=False, **kwargs)


@extend_schema_field({"type": "boolean"})
class FlagFilter(django_filters.TypedChoiceFilter):
    """By true or false."""

    def __init__(self, field_name: str, **kwargs: Any) -> None:
        choices = (("true", "true"), ("false", "false"))
        super().__init__(field_name, choices=choices, coerce=lambda word: word == "true", **kwargs)


class OfSite(django_filters.FilterSet):
    """By site and client: every list of rows that belong to a site has both."""

    site = IdFilter("site_id", label="Id of the site.")
    client = IdFilter("site__client_id", label="Id of the client.")


class MomentFilter(django_filters.IsoDateTimeFilter):
    """By a time. PostgreSQL takes no offset beyond 15:59, so it is asked in UTC."""

    def filter(self, qs: QuerySet[Any], value: datetime | None) -> QuerySet[Any]:
        """Return the rows on the wanted side of it."""
        if value:
            try:
                value = value.astimezone(UTC)
            except OverflowError:  # in the first or last hours of the calendar
                value = value.replace(tzinfo=UTC)
        return super().filter(qs, value)


class TakenAt(django_filters.FilterSet):
    """By time, for what was recorded at one."""

    taken_from = MomentFilter("taken_at", lookup_expr="gte", label="At this time or later.")
    taken_before = MomentFilter("taken_at", lookup_expr="lt", label="Before this time.")


class Filtered(DjangoFilterBackend):
    """Runs a view's filterset."""

    def filter_queryset(self, request: Request, queryset: QuerySet[Any], view: Any) -> QuerySet[Any]:
        """Return the matching rows; a bad value names its parameter."""
        filterset = self.get_filterset(request, queryset, view)
        if filterset is None:
            return queryset
        if not filterset.is_valid():
            raise ParameterError({name: list(says) for name, says in filterset.errors.items()})
        return filterset.qs


class Found(SearchFilter):
    """`search`: every word must be found in one of the view's `search_fields`."""

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        """Describe it where there is something to search in."""
        fields = getattr(view, "search_fields", None)
        if not fields:
            return []
        says = f"Words to be found in {', '.join(field.replace('__', ' ') for field in fields)}."
        schema = {"type": "string", "minLength": 1, "maxLength": LONGEST}
        return [{"name": "search", "in": "query", "required": False, "description": says, "schema": schema}]


class Ordered(BaseFilterBackend):
    """`order`: one of the view's `orders`, downwards with a minus; equal ones by id, so that pages never overlap."""

    def filter_queryset(self, request: Request, queryset: QuerySet[Any], view: Any) -> QuerySet[Any]:
        """Return the rows in order."""
        orders = _orders(view)
        order = request.query_params.get("order", orders[0])
        if order not in orders:
            raise ParameterError({"order": [f"expected one of {', '.join(orders)}"]})
        return queryset.order_by(order, "-pk" if order.startswith("-") else "pk")

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        """Describe it."""
        orders = _orders(view)
        schema = {"type": "string", "enum": orders, "default": orders[0]}
        return [
            {"name": "order", "in": "query", "required": False, "description": "What comes first.", "schema": schema}
        ]


def _orders(view: Any) -> list[str]:
    """Return the allowed orders; the first of the view's is the usual one."""
    return [sign for name in view.orders for sign in (name, name[1:] if name.startswith("-") else f"-{name}")]


class KnownParameters(BaseFilterBackend):
    """Refuses a parameter that means nothing here, is empty, or comes twice: a slip must not return every row."""

    def filter_queryset(self, request: Request, queryset: QuerySet[Any], view: Any) -> QuerySet[Any]:
        """Return all rows when every parameter is known."""
        filterset = getattr(view, "filterset_class", None)
        known = {"page", "page_size", "order", *(filterset.base_filters if filterset else ())}
        known |= {"search"} if getattr(view, "search_fields", None) else set()
        faults = {}
        for name, values in request.query_params.lists():
            if name not in known:
                faults[name] = [f"no such parameter here; there are {', '.join(sorted(known))}"]
            elif len(values) > 1:
                faults[name] = ["once, please"]
            elif not 0 < len(values[0]) <= LONGEST or "\0" in values[0]:
                faults[name] = [f"give a value of at most {LONGEST} characters, or leave it out"]
        if faults:
            raise ParameterError(faults)
        return queryset
