"""Lists come in pages, in an order that no two requests disagree on."""

from typing import Any, Final

from django.core.paginator import Paginator
from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request

from registry.api.problems import ParameterError

USUAL: Final = 50
MOST: Final = 200
LAST_PAGE: Final = 1_000_000
LARGEST_ID: Final = 2**63 - 1


class Pages(PageNumberPagination):
    """`page` and `page_size`, both read strictly."""

    page_size = USUAL
    page_size_query_param = "page_size"
    max_page_size = MOST
    invalid_page_message = "There is no page {page_number} of this list."

    def get_page_size(self, request: Request) -> int:
        """Return how many rows were asked for."""
        return _whole(request, "page_size", USUAL, MOST)

    def get_page_number(self, request: Request, paginator: "Paginator[Any]") -> int:
        """Return which page was asked for."""
        return _whole(request, "page", 1, LAST_PAGE)

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        """Describe both."""
        size = {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL}
        page = {"type": "integer", "minimum": 1, "maximum": LAST_PAGE, "default": 1}
        return [
            {"name": "page", "in": "query", "required": False, "description": "Which page.", "schema": page},
            {"name": "page_size", "in": "query", "required": False, "description": "Rows on a page.", "schema": size},
        ]

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """Describe a page."""
        link = {"type": ["string", "null"], "format": "uri"}
        properties = {"count": {"type": "integer", "minimum": 0}, "next": link, "previous": link, "results": schema}
        return {"type": "object", "required": list(properties), "properties": properties}


def _whole(request: Request, name: str, usual: int, most: int) -> int:
    text = request.query_params.get(name)
    if text is None:
        return usual
    if not (text.isascii() and text.isdecimal() and len(text) < 20 and 1 <= int(text) <= most):
        raise ParameterError({name: [f"a whole number from 1 to {most} is expected"]})
    return int(text)
