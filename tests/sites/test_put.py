"""Rows are written by natural key, with history, and facts only once."""

import pytest

from registry.demo.factories import ClientFactory, ReadingFactory, UserFactory
from sites.actions import put_clients
from sites.facts import FactIsFixedError
from sites.models import Client
from sites.put import Batch

pytestmark = pytest.mark.django_db


def test_a_change_keeps_what_was_there_before_and_who_changed_it() -> None:
    by = UserFactory()
    put_clients(Batch(by=by), {("Oak Lane",): {"name": "Oak Lane", "phone": "1"}})
    put_clients(Batch(by=by), {("Oak Lane",): {"name": "Oak Lane", "phone": "2"}})
    history = Client.objects.get(name="Oak Lane").history
    assert [(row.phone, row.history_user) for row in history.all()] == [("2", by), ("1", by)]


def test_equal_rows_are_left_alone() -> None:
    batch = Batch(by=None)
    for _ in range(2):
        put_clients(batch, {("Oak Lane",): {"name": "Oak Lane", "phone": "1"}})
    assert [change.new for change in batch.changes] == [True]
    assert Client.objects.get().history.count() == 1


def test_empty_means_not_known_in_a_survey_and_cleared_in_a_form() -> None:
    ClientFactory(name="Oak Lane", phone="1")
    put_clients(Batch(by=None), {("Oak Lane",): {"name": "Oak Lane", "phone": ""}})
    assert Client.objects.get().phone == "1"
    put_clients(Batch(by=None, blank_clears=True), {("Oak Lane",): {"name": "Oak Lane", "phone": ""}})
    assert Client.objects.get().phone == ""


def test_a_fact_is_neither_changed_nor_deleted() -> None:
    reading = ReadingFactory()
    reading.level_db = 99.0
    for attempt in (reading.save, reading.delete, type(reading).objects.all().delete):
        with pytest.raises(FactIsFixedError, match=r"correct|deleted"):
            attempt()
    with pytest.raises(FactIsFixedError):
        type(reading).objects.update(level_db=99.0)
    assert type(reading).objects.get().level_db != 99.0
