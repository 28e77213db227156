"""Lists come in pages, in an order that no two requests disagree on."""

from typing import Any, Final

from rest_framework.pagination import PageNumberPagination
from rest_framework.request import Request
from rest_framework.response import Response

from registry.api.problems import ParameterError
from sites.bounded_counts import COUNTED, CountedPages

USUAL: Final = 50
MOST: Final = 200
LAST_PAGE: Final = 1_000_000
LARGEST_ID: Final = 2**63 - 1
COUNT: Final = f"How many rows fit, counted up to {COUNTED:,} or the end of the next page."
MORE: Final = "Whether there may be more rows than `count` says; `next` leads to every one."


class Pages(PageNumberPagination):
    """`page` and `page_size`, both read strictly."""

    django_paginator_class = CountedPages
    page_size = USUAL
    page_size_query_param = "page_size"
    max_page_size = MOST
    invalid_page_message = "There is no page {page_number} of this list."

    def get_page_size(self, request: Request) -> int:
        """Return how many rows were asked for."""
        return _whole(request, "page_size", USUAL, MOST)

    def get_page_number(self, request: Request, paginator: Any) -> int:
        """Return which page was asked for, and have rows counted to the page beyond it."""
        page = _whole(request, "page", 1, LAST_PAGE)
        paginator.count_for(page)
        return page

    def get_paginated_response(self, data: Any) -> Response:
        """Return a page, and whether there may be more rows than were counted."""
        answer = super().get_paginated_response(data)
        answer.data = {"count": answer.data.pop("count"), "more": self.page.paginator.has_more, **answer.data}
        return answer

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
        count = {"type": "integer", "minimum": 0, "description": COUNT}
        more = {"type": "boolean", "description": MORE}
        properties = {"count": count, "more": more, "next": link, "previous": link, "results": schema}
        return {"type": "object", "required": list(properties), "properties": properties}


def _whole(request: Request, name: str, usual: int, most: int) -> int:
    text = request.query_params.get(name)
    if text is None:
        return usual
    if not (text.isascii() and text.isdecimal() and len(text) < 20 and 1 <= int(text) <= most):
        raise ParameterError({name: [f"a whole number from 1 to {most} is expected"]})
    return int(text)
