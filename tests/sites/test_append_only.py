"""Nothing recorded is changed or deleted: the database says so itself, on SQLite and on PostgreSQL."""

from collections.abc import Callable
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import DatabaseError, connection, models, transaction

from registry.demo.factories import ReadingFactory, UserFactory, ZoneFactory
from registry.exchange.importing import import_survey
from sites.append_only import append_only_tables, guard, is_history
from sites.editing import save_client
from sites.facts import Fact
from sites.models import Client
from tests.exchange.small_survey import survey

pytestmark = pytest.mark.django_db

# Tables that are neither facts nor keep a history, and why nobody loses anything by that.
NEITHER = {
    "client_sites.User": "what happens to accounts is told by account events; passwords belong in no history",
    "client_sites.Membership": "told by account events",
    "client_sites.SignIn": "sessions, ended by deleting them",
    "client_sites.RecoverySheet": "counters of wrong codes",
    "client_sites.RecoveryCode": "used up by deleting them",
    "client_sites.Receipt": "answers kept for requests that are sent twice",
    "equipment.Make": "a name, written once and never changed",
    "equipment.OccupiedUnit": "derived from places",
    "visits.Reminder": "a note that a letter went out",
    "search.SearchEntry": "derived from everything",
}
LIBRARIES = {"admin", "auth", "contenttypes", "sessions", "axes", "otp_totp"}


def test_every_table_is_a_fact_or_keeps_its_history() -> None:
    ours = [
        model
        for model in apps.get_models()
        if model._meta.app_label not in LIBRARIES and not is_history(model) and not issubclass(model, Fact)
    ]
    without = {model._meta.label for model in ours if not hasattr(model._meta, "simple_history_manager_attribute")}
    assert without == set(NEITHER)


@pytest.fixture
def recorded(db: None) -> None:
    """A survey and one change, so that facts and histories hold rows."""
    import_survey(survey(), by=UserFactory())
    save_client(by=UserFactory(), client=Client.objects.get(), values={"phone": "1", "name": "Green Acre Ltd"})


@pytest.mark.parametrize(
    "table", ["client_sites_historicalclient", "baselines_reading", "equipment_setting", "client_sites_historyentry"]
)
@pytest.mark.parametrize("statement", ["UPDATE {table} SET id = id", "DELETE FROM {table}", "TRUNCATE {table} CASCADE"])
def test_raw_sql_is_refused(table: str, statement: str, recorded: None) -> None:
    if statement.startswith("TRUNCATE") and connection.vendor == "sqlite":
        statement = "DELETE FROM {table} WHERE 1 = 1"  # SQLite has no TRUNCATE
    connection.check_constraints()  # PostgreSQL truncates no table whose references it has still to check
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM {table}")
        (before,) = cursor.fetchone()
        assert before
        with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
            cursor.execute(statement.format(table=table))
        cursor.execute(f"SELECT count(*) FROM {table}")
        assert cursor.fetchone() == (before,)


def test_every_fact_and_every_history_is_guarded() -> None:
    names = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger",
    }
    with connection.cursor() as cursor:
        cursor.execute(names[connection.vendor])
        there = {name for (name,) in cursor.fetchall()}
    missing = [
        (deed, table)
        for table in append_only_tables()
        for deed in ("update", "delete")
        if f"append_only_{deed}_{table}"[:63] not in there
    ]
    assert len(append_only_tables()) > 40 and not missing


def test_a_fact_that_is_added_later_is_guarded_without_further_ado(
    monkeypatch: pytest.MonkeyPatch, recorded: None
) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE later_fact (id integer)")
        monkeypatch.setattr("sites.append_only.append_only_tables", lambda: ["later_fact"])
        guard(connection)
        guard(connection)
        cursor.execute("INSERT INTO later_fact VALUES (1)")
        with pytest.raises(DatabaseError, match="later_fact: recorded rows are never"), transaction.atomic():
            cursor.execute("DELETE FROM later_fact")


def test_code_that_goes_around_the_fact_s_own_refusal_is_refused_by_the_database(db: None) -> None:
    reading = ReadingFactory(zone=ZoneFactory())
    usual: Callable[..., models.QuerySet[models.Model]] = models.QuerySet
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        usual(type(reading)).filter(pk=reading.pk).update(level_db=1.0)


def test_bulk_writes_go_through_the_functions_that_log() -> None:
    root = Path(__file__).parents[2]
    asking = [
        path
        for folder in ("sites", "registry")
        for path in (root / folder).rglob("*.py")
        if "simple_history.utils" in path.read_text() and path.name != "history.py"
    ]
    assert not asking


@pytest.mark.django_db(transaction=True)
def test_the_command_that_empties_a_database_is_for_tests_only(monkeypatch: pytest.MonkeyPatch) -> None:
    operations = type(connection.ops)
    UserFactory()
    ZoneFactory()
    with monkeypatch.context() as patched:
        patched.setattr(operations, "sql_flush", operations.sql_flush.__wrapped__)
        with pytest.raises(Exception, match="flush"):
            call_command("flush", interactive=False)
    assert Client.objects.exists()
