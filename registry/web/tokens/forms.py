"""The form of a new token."""

from datetime import UTC, datetime, time
from typing import Any

from django import forms

from registry.web.fields import DayInput, RowsField
from sites.models import User
from sites.queries import clients_visible_to


class TokenForm(forms.Form):
    """What a program is called, what it may do, whose sites it sees, and until when."""

    name = forms.CharField(max_length=80, help_text="What uses it, for example: Bookkeeping export.")
    may_write = forms.BooleanField(
        label="May write",
        required=False,
        help_text="Without this it reads only. It never says what is life-safety related.",
    )
    every_client = forms.BooleanField(label="Sees every client", required=False)
    clients = RowsField(label="Or only these clients", required=False, help_text="It finds nothing of the others.")
    last_day = forms.DateField(
        label="Last day", required=False, widget=DayInput, help_text="It stops at the end of this day, in UTC."
    )

    def __init__(self, *args: Any, by: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        clients = self.fields["clients"]
        assert isinstance(clients, RowsField)
        clients.offer(clients_visible_to(by))

    def values(self) -> dict[str, Any]:
        """Return what was typed, for the action."""
        typed = dict(self.cleaned_data)
        day = typed.pop("last_day")
        return typed | {"expires_at": day and datetime.combine(day, time.max, tzinfo=UTC)}
