"""The list of people."""

from typing import Any

import django_filters
from django.db.models import Max, QuerySet
from django.urls import reverse

from registry.web.accounts.forms import PEOPLE
from registry.web.lists import Column, ListFilter
from sites.models import Role, User
from sites.queries import people_visible_to
from sites.second_factor import with_factor


class PeopleFilter(ListFilter):
    """By role, and whether they may sign in."""

    role = django_filters.ChoiceFilter(choices=[(role, role.label) for role in PEOPLE], label="Role", empty_label="any")
    is_active = django_filters.BooleanFilter(label="May sign in")


def listed_people(user: User) -> QuerySet[Any]:
    """Return the people that `user` may see, with what the list shows of them."""
    people = with_factor(people_visible_to(user))
    found: QuerySet[Any] = people.annotate(seen_at=Max("sign_ins__seen_at")).order_by("username")
    return found


PEOPLE_COLUMNS = (
    Column(
        heading="Person",
        value=str,
        sort=("first_name", "last_name", "username"),
        link=lambda person: reverse("person", args=[person.pk]),
    ),
    Column(heading="Username", value=lambda person: person.username, sort=("username",)),
    Column(heading="E-mail", value=lambda person: person.email, sort=("email",)),
    Column(heading="Role", value=lambda person: role_words(person), sort=("role",)),
    Column(heading="Second factor", value=lambda person: "on" if person.has_app else "off", sort=("has_app",)),
    Column(heading="May sign in", value=lambda person: state_words(person), sort=("is_active",)),
    Column(heading="Last seen", value=lambda person: person.seen_at, sort=("seen_at",), kind="day", blank="not now"),
)


def role_words(person: User) -> str:
    """Return what a person may do."""
    return f"{Role(person.role).label}, steward" if person.is_superuser else str(Role(person.role).label)


def state_words(person: User) -> str:
    """Return whether a person may sign in, and whether they ever chose a password."""
    if not person.is_active:
        return "shut out"
    return "yes" if person.has_usable_password() else "invited, no password yet"


def people_sentence(user: User) -> str:
    """Return the answer on top of the list."""
    people = people_visible_to(user).filter(is_active=True)
    without = with_factor(people).filter(has_app=False).count()
    count = people.count()
    return f"{count} {'person' if count == 1 else 'people'} may sign in; {without} of them by password alone."
