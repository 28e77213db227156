"""The trigram index behind `text__holds`: FTS5's own on SQLite (3.34 or newer), pg_trgm's on PostgreSQL."""

from django.db import migrations

SQLITE = (
    "CREATE VIRTUAL TABLE search_trigrams USING fts5(text, content='search_searchentry', content_rowid='id', tokenize='trigram')",
    """CREATE TRIGGER search_entry_added AFTER INSERT ON search_searchentry BEGIN
        INSERT INTO search_trigrams(rowid, text) VALUES (new.id, new.text);
    END""",
    """CREATE TRIGGER search_entry_gone AFTER DELETE ON search_searchentry BEGIN
        INSERT INTO search_trigrams(search_trigrams, rowid, text) VALUES ('delete', old.id, old.text);
    END""",
    """CREATE TRIGGER search_entry_changed AFTER UPDATE ON search_searchentry BEGIN
        INSERT INTO search_trigrams(search_trigrams, rowid, text) VALUES ('delete', old.id, old.text);
        INSERT INTO search_trigrams(rowid, text) VALUES (new.id, new.text);
    END""",
)
SQLITE_BACK = (
    "DROP TRIGGER search_entry_added",
    "DROP TRIGGER search_entry_gone",
    "DROP TRIGGER search_entry_changed",
    "DROP TABLE search_trigrams",
)
POSTGRESQL = (
    "CREATE EXTENSION IF NOT EXISTS pg_trgm",
    "CREATE INDEX search_entry_trigrams ON search_searchentry USING gin (text gin_trgm_ops)",
)
POSTGRESQL_BACK = ("DROP INDEX search_entry_trigrams",)


def forwards(apps, schema_editor):
    """Make the index."""
    for statement in SQLITE if schema_editor.connection.vendor == "sqlite" else POSTGRESQL:
        schema_editor.execute(statement)


def backwards(apps, schema_editor):
    """Drop the index; the extension may serve others."""
    for statement in SQLITE_BACK if schema_editor.connection.vendor == "sqlite" else POSTGRESQL_BACK:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    """Apart from the table, since it is written in each database's own words."""

    dependencies = [("search", "0001_entries")]
    operations = [migrations.RunPython(forwards, backwards)]
