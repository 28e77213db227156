"""Lines of the log: when, how grave, who says it, what; never a secret."""

import logging
import re
from typing import Any, Final

# A password link opens an account; the rest are fields and parameters by whatever name a library prints them.
LINK: Final = re.compile(r"(/password/link/[^/\s]+/)[^/\s]+")
NAMED: Final = re.compile(
    r"(?i)(\b[\w-]*(?:password|secret|token|proof|authorization)[\w-]*[\"']?\s*[=:]\s*)(\S+(?: \S{20,})?)"
)
MASK: Final = r"\1***"


def without_secrets(text: str) -> str:
    """Return a line of the log with passwords, tokens and password links masked.

    >>> without_secrets("GET /password/link/MQ/abc-def/ 200")
    'GET /password/link/MQ/***/ 200'
    >>> without_secrets("retry with new_password1=hush and token: abc")
    'retry with new_password1=*** and token: ***'
    """
    return NAMED.sub(MASK, LINK.sub(MASK, text))


class MaskingFormatter(logging.Formatter):
    """Formats a record, its traceback too, and masks what must not be kept."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        return without_secrets(super().format(record))


def logging_to_stderr() -> dict[str, Any]:
    """Return Django's LOGGING: warnings of everybody and the register's own words, one line each, to standard error."""
    line = {"()": MaskingFormatter, "format": "{asctime} {levelname} {name}: {message}", "style": "{"}
    only_in_production = {"()": "django.utils.log.RequireDebugFalse"}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": line},
        "filters": {"production": only_in_production},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["production"]}},
        "loggers": {"registry": {"level": "INFO"}, "sites": {"level": "INFO"}, "axes": {"level": "WARNING"}},
        "root": {"handlers": ["stderr"], "level": "WARNING"},
    }
