"""A request that names itself is done once, however often it is sent."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry.demo.factories import UserFactory
from sites.models import Client, Receipt
from sites.receipts import KeyReusedError, digest_of, forget_old_receipts, once

pytestmark = pytest.mark.django_db


def add(name: str) -> dict[str, str]:
    Client.objects.create(name=name)
    return {"name": name}


def test_the_second_time_only_the_answer_comes_back() -> None:
    by = UserFactory()
    first = once(by=by, key="k", digest=digest_of("x"), action=lambda: add("Taproom"))
    again = once(by=by, key="k", digest=digest_of("x"), action=lambda: add("Taproom"))
    assert (first.again, again.again) == (False, True)
    assert first.answer == again.answer == {"name": "Taproom"}
    assert Client.objects.count() == 1


def test_a_key_stands_for_one_content_and_one_person() -> None:
    by = UserFactory()
    once(by=by, key="k", digest=digest_of("x"), action=lambda: None)
    with pytest.raises(KeyReusedError):
        once(by=by, key="k", digest=digest_of("y"), action=lambda: None)
    assert not once(by=UserFactory(), key="k", digest=digest_of("y"), action=lambda: None).again


def test_what_failed_leaves_nothing_and_may_be_tried_again() -> None:
    by = UserFactory()

    def fails() -> None:
        add("Half")
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        once(by=by, key="k", digest="d", action=fails)
    assert not Client.objects.exists()
    assert not Receipt.objects.exists()
    assert not once(by=by, key="k", digest="d", action=lambda: add("Whole")).again


def test_old_receipts_are_forgotten() -> None:
    by = UserFactory()
    once(by=by, key="old", digest="d", action=lambda: None)
    once(by=by, key="new", digest="d", action=lambda: None)
    Receipt.objects.filter(key="old").update(received_at=timezone.now() - timedelta(days=91))
    assert forget_old_receipts() == 1
    assert Receipt.objects.get().key == "new"
