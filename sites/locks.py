"""Waiting for one another: whoever writes a row after reading it takes its lock first."""

from django.db.models import Model


def lock_row(row: Model) -> None:
    """Wait for whoever is writing the row, and keep others out until the transaction ends."""
    type(row)._base_manager.select_for_update().get(pk=row.pk)
