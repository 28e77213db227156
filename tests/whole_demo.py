"""The whole demo, loaded for some tests and taken back at their end."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import transaction
from django.test import override_settings
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from registry.demo.loading import load_demo
from sites.models import Site


@contextmanager
def whole_demo(blocker: DjangoDbBlocker, media: Path) -> Iterator[Site]:
    """Load the demo of today, and give the site that has something of every kind. It takes some ten seconds."""
    with blocker.unblock(), override_settings(MEDIA_ROOT=media), transaction.atomic():
        load_demo(today=timezone.localdate())
        yield Site.objects.get(code="sallow-bank")
        transaction.set_rollback(True)
