"""The live connection has what several workers on one database need."""

import threading

import pytest
from django.db import connection, connections
from django.test import TransactionTestCase

from registry.demo.factories import ClientFactory
from registry.settings import database
from sites.models import Client


@pytest.mark.django_db
def test_sqlite_runs_with_write_ahead_log_foreign_keys_and_a_long_wait(tmp_path: object) -> None:
    if connection.vendor != "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
            assert cursor.fetchone() == (1,)
        return
    live = connections.create_connection("default")
    live.settings_dict = live.settings_dict | {"NAME": f"{tmp_path}/live.sqlite3"}
    with live.cursor() as cursor:
        values = [
            cursor.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "foreign_keys", "busy_timeout", "synchronous")
        ]
    live.close()
    assert values == ["wal", 1, 20_000, 2]  # 2: FULL
    assert live.transaction_mode == "IMMEDIATE"


def test_database_url_switches_to_postgresql() -> None:
    settings = database("postgres://someone@127.0.0.1:5432/evenkeel")
    assert settings["ENGINE"] == "django.db.backends.postgresql"
    assert "transaction_mode" not in settings.get("OPTIONS", {})


class TwoWritersTest(TransactionTestCase):
    """Read-then-write by two connections at once never ends in "database is locked"."""

    def test_every_increment_arrives(self) -> None:
        client = ClientFactory(phone="0")
        failures: list[Exception] = []

        def work() -> None:
            from django.db import transaction

            try:
                for _ in range(10):
                    with transaction.atomic():
                        found = Client.objects.select_for_update().get(pk=client.pk)
                        Client.objects.filter(pk=client.pk).update(phone=str(int(found.phone) + 1))
            except Exception as error:
                failures.append(error)
            finally:
                connection.close()

        threads = [threading.Thread(target=work) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(60)
        assert not failures
        client.refresh_from_db()
        assert client.phone == "20"
