"""The letter with a link to choose a password."""

import logging
from smtplib import SMTPException

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.core.mail import send_mail
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from registry.web.access import SignedIn
from sites.accounts import note_link
from sites.models import User

log = logging.getLogger(__name__)
SUBJECT = "accounts/letter_subject.txt"
BODY = "accounts/letter.txt"


def password_link(request: SignedIn, person: User) -> str:
    """Return an address that lets whoever opens it choose this person's password, once, within a day."""
    uid = urlsafe_base64_encode(force_bytes(person.pk))
    path = reverse("password-link", args=[uid, default_token_generator.make_token(person)])
    return request.build_absolute_uri(path)


def send_link(request: SignedIn, person: User) -> str:
    """Send a password link and return what the manager is told; without e-mail the link is theirs to hand over.

    Raises ValueError when the mail server takes no letter.
    """
    link = password_link(request, person)
    note_link(by=request.user, person=person)
    if not settings.SENDS_EMAIL:
        return f"E-mail is not set up here. Give {person} this link yourself; it works once, for a day: {link}"
    context = {"user": person, "link": link}
    subject = render_to_string(SUBJECT, context).strip()
    try:
        send_mail(subject, render_to_string(BODY, context), None, [person.email])
    except (SMTPException, OSError) as error:
        log.exception("no letter to person %s", person.pk)
        raise ValueError(
            f"The mail server took no letter for {person.email}: {type(error).__name__}. Try later."
        ) from error
    return f"A link to choose a password is on its way to {person.email}; it works once, for a day."
