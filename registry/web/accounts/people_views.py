"""People: managers invite them, give them a role, end their sign-ins and shut them out."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from registry.web.access import SignedIn, View, visible
from registry.web.accounts.forms import PersonForm
from registry.web.accounts.letters import send_link
from registry.web.accounts.people import PEOPLE_COLUMNS, PeopleFilter, listed_people, people_sentence
from registry.web.crumbs import Crumbs
from registry.web.fresh import fresh_sign_in_required
from registry.web.lists import Listing
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.accounts import invite_person, save_person, set_active, with_account_version
from sites.models import User
from sites.queries import account_events_visible_to, people_changeable_by, people_visible_to, sign_ins_visible_to
from sites.second_factor import codes_left, has_second_factor, is_obliged, reset_second_factor
from sites.sign_ins import end_sign_ins

P = ParamSpec("P")
EVENTS_SHOWN = 50


def manager(view: View[P]) -> View[P]:
    """Guard a page of those who manage people."""

    @wraps(view)
    def guarded(request: SignedIn, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not request.user.manages_people:
            raise PermissionDenied("People are for managers to look after.")
        return view(request, *args, **kwargs)

    return guarded


def doing(act: Callable[Concatenate[SignedIn, User, ...], str]) -> View[[int]]:
    """Make a button's view of `act`: it changes one person's account and returns what to say."""

    @require_POST
    @manager
    @fresh_sign_in_required
    @wraps(act)
    def pressed(request: SignedIn, pk: int) -> HttpResponseBase:
        person = changeable_person(request, pk)
        try:
            messages.success(request, act(request, person))
        except ValueError as refused:
            messages.error(request, str(refused))
        return redirect("person", pk)

    return pressed


def changeable_person(request: SignedIn, pk: int) -> User:
    """Return a person in order to change them; a steward's account is for stewards."""
    person = visible(with_account_version(people_visible_to(request.user)), pk=pk)
    if not people_changeable_by(request.user).filter(pk=pk).exists():
        raise PermissionDenied("This is a steward's account: only another steward changes it.")
    return person


@manager
def people(request: SignedIn) -> HttpResponseBase:
    """List people."""
    listing = Listing(request, listed_people(request.user), PEOPLE_COLUMNS, name="people", filterset=PeopleFilter)
    return listing.response("accounts/people.html", {"sentence": people_sentence(request.user)})


@manager
def person(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a person."""
    found = visible(people_visible_to(request.user).prefetch_related("memberships__client"), pk=pk)
    context: dict[str, Any] = {
        "person": found,
        "may_change": people_changeable_by(request.user).filter(pk=pk).exists(),
        "sign_ins": sign_ins_visible_to(request.user).filter(user=found),
        "events": account_events_visible_to(request.user).filter(user=found)[:EVENTS_SHOWN],
        "has_factor": has_second_factor(found),
        "codes_left": codes_left(found),
        "is_obliged": is_obliged(found),
        "crumbs": people_crumbs(),
    }
    return render(request, "accounts/person.html", context)


@manager
@fresh_sign_in_required
def person_new(request: SignedIn) -> HttpResponseBase:
    """Invite a person."""
    form = PersonForm(typed(request), by=request.user)
    if made := saved(form, lambda: invite_person(by=request.user, values=form.values())):
        return tell_link(request, made)
    answer = "They get a link to choose their own password; nobody else ever knows it."
    return form_page(request, form, heading="Invite a person", answer=answer, crumbs=people_crumbs(), save="Invite")


def tell_link(request: SignedIn, person: User) -> HttpResponseBase:
    """Send the link of an invitation; when that fails the person is there all the same, with a button to try again."""
    try:
        messages.success(request, f"{person} is invited. {send_link(request, person)}")
    except ValueError as refused:
        messages.error(request, f"{person} is recorded. {refused}")
    return redirect("person", person.pk)


@manager
@fresh_sign_in_required
def person_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a person."""
    found = changeable_person(request, pk)
    form = PersonForm(typed(request), instance=found, by=request.user)
    if made := saved(form, lambda: save_person(by=request.user, person=found, **form.edited())):
        messages.success(request, f"{made} is saved.")
        return redirect("person", pk)
    crumbs = [*people_crumbs(), (str(found), reverse("person", args=[pk]))]
    answer = "A new role holds from the next page that they open."
    return form_page(request, form, heading=f"Edit {found}", answer=answer, crumbs=crumbs)


@doing
def person_link(request: SignedIn, person: User) -> str:
    """Send a link to choose a password."""
    if not person.is_active:
        raise ValueError(f"{person} is shut out: let them in first.")
    return send_link(request, person)


@doing
def person_sign_out(request: SignedIn, person: User) -> str:
    """End every sign-in of a person."""
    keep = request.session.session_key or "" if person == request.user else ""
    return f"Sign-ins of {person} that ended: {end_sign_ins(by=request.user, user=person, keep=keep)}."


@doing
def person_factor_reset(request: SignedIn, person: User) -> str:
    """Forget a person's second factor, because the phone is lost."""
    if person == request.user:
        raise ValueError("Use Your account for your own second factor, or ask another manager.")
    reset_second_factor(by=request.user, user=person)
    return f"The second factor of {person} is forgotten, and their sign-ins have ended."


@doing
def person_shut_out(request: SignedIn, person: User) -> str:
    """Shut a person out."""
    set_active(by=request.user, person=person, active=False)
    return f"{person} is shut out, at once and everywhere. What they recorded stays."


@doing
def person_let_in(request: SignedIn, person: User) -> str:
    """Let a person in again."""
    set_active(by=request.user, person=person, active=True)
    return f"{person} may sign in again."


def people_crumbs() -> Crumbs:
    """Return the way to the list of people."""
    return [("People", reverse("people"))]
