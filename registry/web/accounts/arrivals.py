"""What a sign-in leaves in its session, and what the throttle must not keep."""

import logging
from typing import Any

from axes.models import AccessAttempt
from django.contrib.auth.signals import user_logged_in
from django.db.models.signals import pre_save
from django.dispatch import receiver
from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import get_random_string

from registry.web.accounts.address import client_address
from registry.web.accounts.browsers import browser_words
from sites.models import User

log = logging.getLogger(__name__)


@receiver(user_logged_in)
def describe_session(request: HttpRequest, user: User, **kwargs: Any) -> None:
    """Note when, where and with what somebody signed in; `sites.sessions` copies it into the row."""
    now = int(timezone.now().timestamp())
    log.info("person %s signed in from %s", user.pk, client_address(request))
    request.session.update(
        {
            "ident": get_random_string(16),
            "signed_in_at": now,
            "seen_at": now,
            "proved_at": now,
            "address": client_address(request),
            "browser": browser_words(request.META.get("HTTP_USER_AGENT", "")),
        }
    )


@receiver(pre_save, sender=AccessAttempt)
def keep_nothing_typed(instance: AccessAttempt, **kwargs: Any) -> None:
    """Leave what was typed out of the throttle's rows: any field of a page may hold a secret."""
    instance.get_data = instance.post_data = ""
