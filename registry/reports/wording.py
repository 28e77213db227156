"""The words that stand on every printed sheet."""

from datetime import date
from typing import Final

SHORT_FORM: Final = (
    "Calculated from recorded data; measure before connecting. Local codes, makers' instructions and licensed persons "
    "decide. Never alter fire, voice-alarm or emergency paging parts."
)


def day(value: date) -> str:
    """Return a date as the pages show it: 12 Mar 2026."""
    return f"{value.day} {value:%b %Y}"
