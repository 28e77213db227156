"""The database itself refuses to change or delete facts and history rows, whoever asks: our code or another tool.

Triggers are set up after every `migrate`, for every fact and every history there is: a new one needs nothing. They
stop UPDATE and DELETE, on PostgreSQL also TRUNCATE. The owner of the tables can still drop a trigger or a table: on
PostgreSQL let the register run as a role that owns nothing (DEVELOPERS.md, Append-only).
"""

from typing import Any, Final

from django.apps import apps
from django.db import connections, models, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from sites.facts import Fact

PREFIX: Final = "append_only"
SAYS: Final = "recorded rows are never changed or deleted: record a correction"
DEEDS: Final = {"sqlite": ("UPDATE", "DELETE"), "postgresql": ("UPDATE", "DELETE", "TRUNCATE")}
FUNCTION: Final = f"""
CREATE OR REPLACE FUNCTION {PREFIX}() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '%: {SAYS}', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END $$
"""
THERE: Final = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
}


def append_only_tables() -> list[str]:
    """Return the tables of all facts and all histories."""
    return sorted(model._meta.db_table for model in apps.get_models() if issubclass(model, Fact) or is_history(model))


def is_history(model: type[models.Model]) -> bool:
    """Return whether a table is the history of another one, or of what another one refers to."""
    return hasattr(model, "history_object") or hasattr(model, "m2m_history_id")


def guard(connection: BaseDatabaseWrapper) -> None:
    """Set up the triggers that are missing. Twice does no harm."""
    existing = set(connection.introspection.table_names())
    tables = [table for table in append_only_tables() if table in existing]
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(FUNCTION)
        cursor.execute(THERE[connection.vendor])
        there = {name for (name,) in cursor.fetchall()}
        for table in tables:
            for deed in DEEDS[connection.vendor]:
                if (name := _name(deed, table)) not in there:
                    cursor.execute(_trigger(connection, name, deed, table))


def drop_statements(connection: BaseDatabaseWrapper) -> list[str]:
    """Return what takes all triggers away: for the tests, which empty their tables. Nothing in the program runs it."""
    quote = connection.ops.quote_name
    pairs = [(_name(deed, table), table) for table in append_only_tables() for deed in DEEDS[connection.vendor]]
    on = connection.vendor == "postgresql"
    return [f"DROP TRIGGER IF EXISTS {quote(name)}{f' ON {quote(table)}' if on else ''}" for name, table in pairs]


def _name(deed: str, table: str) -> str:
    return f"{PREFIX}_{deed.lower()}_{table}"[:63]


def _trigger(connection: BaseDatabaseWrapper, name: str, deed: str, table: str) -> str:
    quote = connection.ops.quote_name
    head = f"CREATE TRIGGER {quote(name)} BEFORE {deed} ON {quote(table)}"
    if connection.vendor == "sqlite":
        return f"{head} BEGIN SELECT RAISE(ABORT, '{table}: {SAYS}'); END"
    # By row, where there are rows: Django also sends deletions that find none.
    each = "STATEMENT" if deed == "TRUNCATE" else "ROW"
    return f"{head} FOR EACH {each} EXECUTE FUNCTION {PREFIX}()"


def guard_after_migrate(using: str, **_: Any) -> None:
    """Receive `post_migrate`."""
    guard(connections[using])
