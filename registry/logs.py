"""Lines of the log: when, how grave, who says it, what; never a secret. JSON in production, plain in development."""

import json
import logging
import re
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any, Final

# A password link opens an account, the other two a report and a calendar; the rest are fields and parameters by
# whatever name a library prints them.
LINK: Final = re.compile(r"(/password/link/[^/\s]+/|/guests/|/calendar/(?=[^/\s]+\.ics))[^/\s]+")
NAMED: Final = re.compile(
    r"(?i)(\b[\w-]*(?:password|secret|token|proof|authorization)[\w-]*[\"']?\s*[=:]\s*)(\S+(?: \S{20,})?)"
)
MASK: Final = r"\1***"

request_id: ContextVar[str] = ContextVar("request_id", default="")


def without_secrets(text: str) -> str:
    """Return a line of the log with passwords, tokens and links that open something masked.

    >>> without_secrets("GET /password/link/MQ/abc-def/ 200")
    'GET /password/link/MQ/***/ 200'
    >>> without_secrets("GET /calendar/abc.ics 200")
    'GET /calendar/*** 200'
    >>> without_secrets("retry with new_password1=hush and token: abc")
    'retry with new_password1=*** and token: ***'
    """
    return NAMED.sub(MASK, LINK.sub(MASK, text))


class MaskingFormatter(logging.Formatter):
    """Formats a record, its traceback too, and masks what must not be kept."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        return without_secrets(super().format(record))


class JsonFormatter(logging.Formatter):
    """Formats a record as one JSON object in one line; `extra={"members": {...}}` adds members of its own."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line. Texts are masked one by one: masking the whole line could break it."""
        said: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            "request": request_id.get(),
            **getattr(record, "members", {}),
        }
        if record.exc_info:
            said["traceback"] = self.formatException(record.exc_info)
        masked = {name: without_secrets(value) if isinstance(value, str) else value for name, value in said.items()}
        return json.dumps({name: value for name, value in masked.items() if value != ""}, ensure_ascii=False)


def logging_to_stderr(*, debug: bool) -> dict[str, Any]:
    """Return Django's LOGGING: warnings of everybody and the register's own words, one line each, to standard error.

    Not to standard output, which belongs to the answers of the commands. In development Django prints its own lines
    already, so only the register's are added.
    """
    plain = {"()": MaskingFormatter, "format": "{asctime} {levelname} {name}: {message}", "style": "{"}
    here, everybody = (["stderr"], []) if debug else ([], ["stderr"])
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": plain if debug else {"()": JsonFormatter}},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
        "loggers": {
            "registry": {"level": "INFO", "handlers": here},
            "sites": {"level": "INFO", "handlers": here},
            # The development server prints a line per request already.
            "registry.web.request_log": {"level": "WARNING" if debug else "INFO"},
            "axes": {"level": "WARNING", "handlers": here},
            # What is wrong with a request stands in its own line, with more about it.
            "django.request": {"level": "ERROR"},
            "django.security.DisallowedHost": {"level": "CRITICAL"},
        },
        "root": {"handlers": everybody, "level": "WARNING"},
    }
