"""Facts: rows that are written once. A correction is a new row that names the one it replaces."""

from typing import Any, NoReturn, Self

from django.db import models


class FactIsFixedError(RuntimeError):
    """Raised when code tries to change or delete a recorded fact."""


class FactQuerySet(models.QuerySet[Any]):
    """Lets rows in and never changes them."""

    def update(self, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise FactIsFixedError(f"{self.model.__name__} rows are facts: record a correction instead of an update")

    def delete(self) -> NoReturn:
        """Refuse."""
        raise FactIsFixedError(f"{self.model.__name__} rows are facts: record a correction instead of a deletion")


class Fact(models.Model):
    """Base of everything that is recorded once and then only read."""

    objects = FactQuerySet.as_manager()

    class Meta:
        """No table of its own."""

        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Insert; refuse to write a second time."""
        if not self._state.adding:
            raise FactIsFixedError(f"{self} is recorded: add a correction instead of changing it")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise FactIsFixedError(f"{self} is recorded: it can't be deleted")

    def corrected_by(self) -> Self | None:
        """Return the row that replaces this one, if there is one."""
        return getattr(self, "correction", None)
