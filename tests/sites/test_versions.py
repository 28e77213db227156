"""Versions of rows: of two who save the same version at once exactly one wins, on a real transaction."""

from threading import Barrier, Thread

import pytest
from django.db import connection

from registry.demo.factories import ClientFactory, UserFactory
from sites.editing import save_client
from sites.models import Client, User
from sites.versions import ChangedMeanwhileError, check_version, version_of, with_version

VALUES = {"name": "North Ltd", "contact": "", "email": "", "phone": ""}


@pytest.fixture
def client(db: None) -> Client:
    client: Client = ClientFactory(name="North Ltd", contact="", email="", phone="")
    return client


@pytest.mark.django_db(transaction=True)
def test_exactly_one_of_two_simultaneous_saves_wins() -> None:
    people: list[User] = [UserFactory(), UserFactory()]
    client = ClientFactory(name="North Ltd", contact="", email="", phone="")
    for attempt in range(5):
        version, start, outcomes = version_of(Client.objects.get()), Barrier(2), []

        def save(
            by: User, phone: str, version: str = version, start: Barrier = start, told: list[str] = outcomes
        ) -> None:
            start.wait()
            try:
                save_client(by=by, client=client, values=VALUES | {"phone": phone}, version=version)
                told.append("saved")
            except ChangedMeanwhileError as changed:
                told.append(f"told of {changed.changes[0].new}")
            finally:
                connection.close()

        phones = [f"{attempt}-{number}" for number in range(2)]
        threads = [Thread(target=save, args=each) for each in zip(people, phones, strict=True)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        winner = Client.objects.get().phone
        assert sorted(outcomes) == ["saved", f"told of {winner}"]
        assert version_of(Client.objects.get()) != version


def test_a_row_is_loaded_with_its_version_in_one_query(client: Client, django_assert_num_queries: object) -> None:
    with django_assert_num_queries(1):  # type: ignore[operator]
        row = with_version(Client.objects.all()).get()
        assert version_of(row)
    assert version_of(row) == version_of(client)


def test_a_version_changes_with_every_save_and_only_then(client: Client) -> None:
    before = version_of(client)
    save_client(by=UserFactory(), client=client, values=VALUES)
    assert version_of(client) == before
    save_client(by=UserFactory(), client=client, values=VALUES | {"phone": "1"})
    assert version_of(client) != before


def test_who_changed_what_is_told(client: Client) -> None:
    before = version_of(client)
    save_client(by=UserFactory(first_name="Ada", last_name="Field"), client=client, values=VALUES | {"phone": "1"})
    with pytest.raises(ChangedMeanwhileError, match="Ada Field changed North Ltd meanwhile") as told:
        check_version(client, before, VALUES)
    (change,) = told.value.changes
    assert (change.field, change.old, change.new, change.by) == ("phone", "not known", "1", "Ada Field")
    check_version(client, told.value.version, VALUES)


def test_what_is_not_written_and_what_was_put_back_is_nobody_s_loss(client: Client) -> None:
    before, tech = version_of(client), UserFactory()
    save_client(by=tech, client=client, values=VALUES | {"phone": "1"})
    check_version(client, before, {"name": "North Ltd"})
    check_version(client, before, VALUES | {"phone": "1"})
    save_client(by=tech, client=Client.objects.get(), values=VALUES)
    check_version(client, before, VALUES | {"phone": "2"})


@pytest.mark.parametrize("nonsense", ["", "0", "-", "x", "3-4", "9999999"])
def test_a_version_that_never_was_takes_nothing_for_seen(nonsense: str, client: Client) -> None:
    with pytest.raises(ChangedMeanwhileError):
        check_version(client, nonsense, VALUES | {"name": "South Ltd"})


def test_no_version_does_not_ask(client: Client) -> None:
    save_client(by=UserFactory(), client=client, values=VALUES | {"phone": "1"})
    save_client(by=UserFactory(), client=Client.objects.get(), values=VALUES | {"phone": "2"}, version=None)
    assert Client.objects.get().phone == "2"
