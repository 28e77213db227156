"""The index of the search: one entry for each thing, in the folded spelling that is looked for."""

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.lookups import Lookup
from django.db.models.sql.compiler import SQLCompiler

from sites.models import Client

MOST_CANDIDATES = 500


class SearchEntry(models.Model):
    """What is known about one row by which it can be found; derived, so `manage.py reindex` makes it anew.

    `text` holds each value between line breaks, its words with one space between. So where in it something stands
    tells how well it fits: after a line break it begins a value, after a space a word.
    """

    kind = models.CharField(max_length=20)
    row = models.BigIntegerField()
    client = models.ForeignKey(Client, models.CASCADE, null=True, related_name="+")
    text = models.TextField()

    class Meta:
        """One per row of each kind."""

        constraints = [models.UniqueConstraint(fields=["kind", "row"], name="search_entry_once")]

    def __str__(self) -> str:
        return f"{self.kind} {self.row}"


@models.TextField.register_lookup
class Holds(Lookup):
    """`text__holds`: letters, digits, spaces and line breaks that stand in the text, found by the trigram index.

    Both databases have one (migration 0002). SQLite asks it by name, and stops at MOST_CANDIDATES.
    """

    lookup_name = "holds"
    limit = f" LIMIT {MOST_CANDIDATES}"

    def as_sqlite(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper) -> tuple[str, tuple[str | int, ...]]:
        """Ask the trigram table."""
        found = f"SELECT rowid FROM search_trigrams WHERE search_trigrams MATCH %s{self.limit}"  # noqa: S608
        return f'"{self.lhs.alias}"."id" IN ({found})', (f'"{self.rhs}"',)

    def as_sql(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper) -> tuple[str, tuple[str | int, ...]]:
        """Ask the text; PostgreSQL's planner takes its trigram index where that is quicker."""
        text, params = self.process_lhs(compiler, connection)
        return f"{text} LIKE %s", (*params, f"%{self.rhs}%")


@models.TextField.register_lookup
class HoldsAny(Holds):
    """`text__holds_any`: the same for a list that is filtered, where every row counts."""

    lookup_name = "holds_any"
    limit = ""
