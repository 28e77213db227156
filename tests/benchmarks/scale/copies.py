"""Makes the small set larger: every row of a client, and what hangs on it, again under numbers of its own."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models, transaction

from registry.search.indexing import reindex
from registry.search.models import SearchEntry
from registry.visits.models import VisitGuestLink
from sites.models import Client, HistoryEntry, Membership

# The numbers of the nth copy are those of the original and n times this.
STRIDE = 10_000_000
# An owner keeps what is theirs, a link is secret, and the index is made anew.
LEFT_OUT = {Membership, SearchEntry, VisitGuestLink}
# What is unique in the whole register gets the copy's number, and so does what people look for.
NAMED_APART = {"name", "code", "tag", "serial", "hostname"}
NAMED = {"client", "site", "item", "place"}


def multiply(times: int) -> None:
    """Make the register `times` as large. History and log are copied with the rows that they tell of."""
    tables = copied_tables()
    with connection.cursor() as cursor, _without_checks(cursor), transaction.atomic():
        for table in tables:
            cursor.execute(_statement(table, tables, times))
        for statement in connection.ops.sequence_reset_sql(no_style(), list(apps.get_models())):
            cursor.execute(statement)
    reindex()
    if connection.vendor == "postgresql":  # which does so by itself after a while; SQLite doesn't
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def copied_tables() -> list[type[models.Model]]:
    """Return clients, all that refers to them over whatever else, and the histories of both."""
    found: list[type[models.Model]] = [Client]
    everything = set(apps.get_models(include_auto_created=True)) - LEFT_OUT
    while more := [model for model in everything - set(found) if _refers(model, found)]:
        found += sorted(more, key=lambda model: model._meta.label)
    return found


def _refers(model: Any, found: list[type[models.Model]]) -> bool:
    original = getattr(getattr(model, "instance_type", None), "_meta", None)
    is_history_of_one = original is not None and model.instance_type in found
    return is_history_of_one or any(field.related_model in found for field in model._meta.concrete_fields)


def _statement(table: Any, tables: list[type[models.Model]], times: int) -> str:
    columns = [
        (connection.ops.quote_name(field.column), _copied(table, field, tables))
        for field in table._meta.concrete_fields
    ]
    names, values = ", ".join(name for name, _ in columns), ", ".join(value for _, value in columns)
    name, pk = connection.ops.quote_name(table._meta.db_table), connection.ops.quote_name(table._meta.pk.column)
    copies = f"WITH RECURSIVE n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < {times - 1})"
    rows = f"SELECT {values} FROM n CROSS JOIN {name} t WHERE t.{pk} < {STRIDE}{_only(table, tables)}"
    if connection.vendor == "sqlite":
        return f"INSERT INTO {name} ({names}) {copies} {rows} ORDER BY k, t.{pk}"
    return f"{copies} INSERT INTO {name} ({names}) {rows} ORDER BY k, t.{pk}"


def _copied(table: Any, field: Any, tables: list[type[models.Model]]) -> str:
    column = f"t.{connection.ops.quote_name(field.column)}"
    original = getattr(table, "instance_type", None)
    is_number_of_copied = field.primary_key or field.related_model in tables
    is_kept_number = original is not None and field.column == original._meta.pk.column
    if is_number_of_copied or is_kept_number or (table is HistoryEntry and field.column in {"row", "object_id"}):
        return f"{column} + k * {STRIDE}"
    if field.column in NAMED_APART and (original or table)._meta.model_name in NAMED:
        # Within, not behind: what is looked for in the original must not begin every copy.
        return f"CASE WHEN {column} = '' THEN '' ELSE substr({column}, 1, 1) || k || substr({column}, 2) END"
    return column


def _only(table: Any, tables: list[type[models.Model]]) -> str:
    """Leave out what holds for the whole register, and log lines of tables that aren't copied."""
    if table is HistoryEntry:
        kinds = ", ".join(f"'{model._meta.label_lower}'" for model in tables)
        return f" AND t.kind IN ({kinds})"
    return " AND t.site_id IS NOT NULL" if table._meta.model_name.endswith("holiday") else ""


@contextmanager
def _without_checks(cursor: Any) -> Iterator[None]:
    """References are right by construction; to look up a few million of them would take longer than to write them."""
    off, on = {
        "sqlite": ("PRAGMA foreign_keys = OFF", "PRAGMA foreign_keys = ON"),
        "postgresql": ("SET session_replication_role = replica", "SET session_replication_role = origin"),
    }[connection.vendor]
    cursor.execute(off)
    yield
    cursor.execute(on)
