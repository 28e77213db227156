"""Writes of people: who is let in, as what, and what happened to their account."""

import logging
from collections.abc import Iterable, Mapping
from datetime import timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import CharField, Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Cast, Coalesce
from django.utils import timezone

from sites.changes import NOBODY, FieldChange
from sites.models import AccountEvent, Client, Happening, Membership, Role, SignIn, User
from sites.put import refuse
from sites.versions import LOADED, ChangedMeanwhileError

log = logging.getLogger(__name__)

# Between two password links for the same account, so that nobody's mailbox is flooded by asking again and again.
BETWEEN_LINKS: Final = timedelta(minutes=5)
COLUMNS: Final = ("username", "first_name", "last_name", "email", "role")


def note(*, by: User | None, user: User, what: Happening, detail: str = "") -> None:
    """Record what happened to an account."""
    AccountEvent.objects.create(user=user, by=by, what=what, detail=detail[:300])
    log.info("account of person %s: %s, by person %s", user.pk, what.value, by.pk if by else "-")


@transaction.atomic
def invite_person(*, by: User, values: Mapping[str, Any]) -> User:
    """Record a person who has no password yet; a link lets them choose one."""
    _refuse_taken(values, None)
    person = User(**{name: values[name] for name in COLUMNS})
    person.set_unusable_password()
    person.save()
    _join(person, values["clients"])
    note(by=by, user=person, what=Happening.INVITED, detail=_words(person))
    return person


@transaction.atomic
def save_person(*, by: User, person: User, values: Mapping[str, Any], version: str | None = None) -> User:
    """Change a person's name, address, role and clients; nobody changes their own role, or no manager may be left.

    Raises ChangedMeanwhileError when somebody else saved the person since `version`.
    """
    _check_version(person, version)
    if person == by and values["role"] != by.role and not by.is_superuser:
        raise refuse("person", (person.username,), "role", "your own role is for another manager to change")
    _refuse_taken(values, person)
    before = _words(person)
    for name in COLUMNS:
        setattr(person, name, values[name])
    person.save(update_fields=COLUMNS)
    _join(person, values["clients"])
    if before != _words(person):
        note(by=by, user=person, what=Happening.CHANGED, detail=f"{before} → {_words(person)}")
    return person


def with_account_version(people: QuerySet[User]) -> QuerySet[User]:
    """Return the same people, each loaded with the version that `save_person` compares.

    A row of a person keeps no history, or each sign-in would be in it: account events say what was changed.
    """
    changes = AccountEvent.objects.filter(user=OuterRef("pk"), what=Happening.CHANGED).order_by().values("user")
    number = Coalesce(Subquery(changes.annotate(number=Count("pk")).values("number")), 0)
    return people.annotate(**{LOADED: Cast(number, CharField())})


def _check_version(person: User, version: str | None) -> None:
    if version is None:
        return
    User.objects.select_for_update().get(pk=person.pk)
    events = list(person.account_events.filter(what=Happening.CHANGED).order_by("pk").select_related("by"))
    if version != str(len(events)):
        news = events[int(version) if version.isdecimal() else 0 :]
        raise ChangedMeanwhileError(person, [_change(event) for event in news], str(len(events)))


def _change(event: AccountEvent) -> FieldChange:
    before, _, after = event.detail.partition(" → ")
    return FieldChange("account", "account", before, after, str(event.by or NOBODY), event.at)


@transaction.atomic
def set_active(*, by: User, person: User, active: bool) -> None:
    """Shut a person out, at once and everywhere, or let them in again; what they recorded stays."""
    if person == by:
        raise ValueError("Nobody shuts themselves out: ask another manager.")
    person.is_active = active
    person.save(update_fields=["is_active"])
    if not active:
        SignIn.objects.filter(user=person).delete()
    note(by=by, user=person, what=Happening.REACTIVATED if active else Happening.DEACTIVATED)


@transaction.atomic
def note_link(*, by: User | None, person: User) -> bool:
    """Record that a password link goes out; return False when one went out a moment ago."""
    recent = person.account_events.filter(what=Happening.LINK_SENT, at__gt=timezone.now() - BETWEEN_LINKS)
    if by is None and recent.exists():
        return False
    note(by=by, user=person, what=Happening.LINK_SENT, detail="asked for on the sign-in page" if by is None else "")
    return True


def _refuse_taken(values: Mapping[str, Any], person: User | None) -> None:
    others = User.objects.exclude(pk=person.pk) if person else User.objects.all()
    for name in ("username", "email"):
        if values[name] and others.filter(**{f"{name}__iexact": values[name]}).exists():
            raise refuse("person", (values["username"],), name, f"somebody else has this {name}")


def _join(person: User, clients: Iterable[Client]) -> None:
    """Make the clients of an owner these; managers and techs see every client and need none."""
    wanted = set(clients) if person.role == Role.OWNER else set()
    person.memberships.exclude(client__in=wanted).delete()
    for client in wanted:
        Membership.objects.get_or_create(user=person, client=client)


def _words(person: User) -> str:
    clients = ", ".join(person.memberships.values_list("client__name", flat=True).order_by("client__name"))
    name = f"{person.username} ({person.get_full_name()})" if person.get_full_name() else person.username
    return f"{name}, {person.email}, {Role(person.role).label}" + (f" of {clients}" if clients else "")
