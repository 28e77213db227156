"""Facts: rows that are written once. A correction is a new row that names the one it replaces."""

from collections.abc import Iterable
from typing import Any, NoReturn, Self

from django.db import models, transaction

from sites.history import log_facts


class FactIsFixedError(RuntimeError):
    """Raised when code tries to change or delete a recorded fact."""


class FactQuerySet(models.QuerySet[Any]):
    """Lets rows in and never changes them."""

    @transaction.atomic
    def bulk_create(self, objs: Iterable[Any], *args: Any, **kwargs: Any) -> list[Any]:
        """Insert, and log what was inserted."""
        made = super().bulk_create(objs, *args, **kwargs)
        log_facts(made)
        return made

    def update(self, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise FactIsFixedError(f"{self.model.__name__} rows are facts: record a correction instead of an update")

    def delete(self) -> NoReturn:
        """Refuse."""
        raise FactIsFixedError(f"{self.model.__name__} rows are facts: record a correction instead of a deletion")


class Fact(models.Model):
    """Base of everything that is recorded once and then only read; the database holds that too (`append_only`).

    `logged` False: it is told with the fact that it is part of, and has no line of its own in the log.
    """

    logged = True

    objects = FactQuerySet.as_manager()

    class Meta:
        """No table of its own."""

        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Insert; refuse to write a second time."""
        if not self._state.adding:
            raise FactIsFixedError(f"{self} is recorded: add a correction instead of changing it")
        with transaction.atomic():
            super().save(*args, **kwargs)
            log_facts([self])

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse."""
        raise FactIsFixedError(f"{self} is recorded: it can't be deleted")

    def corrected_by(self) -> Self | None:
        """Return the row that replaces this one, if there is one."""
        return getattr(self, "correction", None)
