"""Django's session store in our own table, so that a person sees where they are signed in and can end it."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore

from sites.sign_in_models import SignIn


class SessionStore(DatabaseStore):
    """Copies into columns what the list of sign-ins shows. (Django names the class.)"""

    @classmethod
    def get_model_class(cls) -> type[SignIn]:
        """Return the table."""
        return SignIn

    def create_model_instance(self, data: Mapping[str, Any]) -> SignIn:
        """Return the row for the session's content."""
        row: Any = super().create_model_instance(data)  # type: ignore[arg-type]
        row.user_id = int(data[SESSION_KEY]) if SESSION_KEY in data else None
        row.ident = data.get("ident", "")
        row.signed_in_at, row.seen_at = _moment(data.get("signed_in_at")), _moment(data.get("seen_at"))
        row.address, row.browser = data.get("address", ""), data.get("browser", "")
        return row  # type: ignore[no-any-return]


def _moment(seconds: int | None) -> datetime | None:
    return datetime.fromtimestamp(seconds, UTC) if seconds else None
