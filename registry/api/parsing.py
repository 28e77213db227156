"""Reads bodies: JSON of a bounded depth; Django bounds the size."""

import json
from collections.abc import Mapping
from typing import IO, Any, Final

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

NOT_JSON: Final = "this isn't JSON in UTF-8"
HALF: Final = r"a text holds half of a sign (\ud800 to \udfff alone), which no UTF-8 can hold: send both halves"


class BoundedJSONParser(JSONParser):
    """JSON in UTF-8; nothing that can't be read becomes a fault of ours."""

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        """Return plain data."""
        context = dict(parser_context or {}) | {"encoding": "utf-8"}
        try:
            data = super().parse(stream, media_type, context)
            # JSON may escape what no answer that names it could be written with (RFC 8259, section 8.2).
            json.dumps(data, ensure_ascii=False).encode()
        except RecursionError as error:
            raise ParseError(f"{NOT_JSON}: it is nested too deep") from error
        except UnicodeEncodeError as error:
            raise ParseError(HALF) from error
        return data
