"""The index of the search: an entry for each value of a thing, in the folded spelling that is looked for."""

from typing import Any

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.expressions import Func
from django.db.models.lookups import Lookup
from django.db.models.sql.compiler import SQLCompiler

from sites.models import Client

MOST_CANDIDATES = 500
# PostgreSQL's index takes 2,704 bytes of a value, and nobody types more than this.
BEGINNING = 120
LAST_SIGN = "\U0010ffff"  # stands behind every other in the order of code points, and in no text


class Beginning(Func):
    """How a text begins, ordered by code point: what the index answers for a whole value or the first signs of one."""

    template = f'(left(%(expressions)s, {BEGINNING}) COLLATE "C")'
    output_field = models.TextField()

    def as_sqlite(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **extra_context: Any) -> Any:
        """SQLite's own order is that of code points."""
        template = f"substr(%(expressions)s, 1, {BEGINNING})"
        return super().as_sql(compiler, connection, template=template, **extra_context)


class SearchEntry(models.Model):
    """One value by which a row can be found; derived, so `manage.py reindex` makes it anew.

    `text` holds the value between line breaks, its words with one space between. So where in it something stands tells
    how well it fits: after a line break it begins the value, after a space a word.
    """

    kind = models.CharField(max_length=20)
    row = models.BigIntegerField()
    client = models.ForeignKey(Client, models.CASCADE, null=True, related_name="+")
    text = models.TextField()

    class Meta:
        """Found by row when it changes, and by how its value begins."""

        indexes = [
            models.Index(fields=["kind", "row"], name="search_entry_of_row"),
            models.Index(Beginning("text"), name="search_entry_begins"),
        ]

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


@models.TextField.register_lookup
class ReadThrough(Lookup):
    """`text__read_through`: the same where few entries are left: no planner asks the trigrams of all others for it."""

    lookup_name = "read_through"

    def as_sql(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, function: str = "strpos"
    ) -> tuple[str, tuple[str | int, ...]]:
        """Look for it in the text."""
        text, params = self.process_lhs(compiler, connection)
        return f"{function}({text}, %s) > 0", (*params, self.rhs)

    def as_sqlite(self, compiler: SQLCompiler, connection: BaseDatabaseWrapper) -> tuple[str, tuple[str | int, ...]]:
        """SQLite has another word for it."""
        return self.as_sql(compiler, connection, "instr")
