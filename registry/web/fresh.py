"""Sensitive actions ask again who is there: the page's own address asks, and what was typed comes along.

`@fresh_sign_in_required` guards a view: whoever proved who they are within the last `settings.FRESH_SECONDS` (by
signing in or by answering this page) goes straight on.
"""

from collections.abc import Iterator
from functools import wraps
from typing import Final, ParamSpec

from django.conf import settings
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters

from registry.web.access import SignedIn, View
from registry.web.accounts.proof import ProofForm

P = ParamSpec("P")
PROVED_AT: Final = "proved_at"
ASKED_FOR: Final = "proof_for"
OWN_FIELDS: Final = {"csrfmiddlewaretoken", "proof", ASKED_FOR}


def fresh_sign_in_required(view: View[P]) -> View[P]:
    """Guard a view: who signed in too long ago gives the password or a code first, then goes where they were going."""

    @sensitive_post_parameters()
    @wraps(view)
    def guarded(request: SignedIn, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        form = None
        if not is_fresh(request):
            form = ProofForm(request, request.POST if "proof" in request.POST else None)
            if not form.is_valid():
                return ask_again(request, form)
            prove(request)
        if request.POST.get(ASKED_FOR) == "GET":
            return redirect(request.get_full_path())
        return view(request, *args, **kwargs)

    return guarded


def is_fresh(request: SignedIn) -> bool:
    """Return whether this person proved who they are a short time ago, in this session."""
    proved_at = request.session.get(PROVED_AT, 0)
    return bool(timezone.now().timestamp() - proved_at < settings.FRESH_SECONDS)


def prove(request: SignedIn) -> None:
    """Remember that this person proved who they are just now."""
    request.session[PROVED_AT] = int(timezone.now().timestamp())


def ask_again(request: SignedIn, form: ProofForm) -> HttpResponse:
    """Show the question with what was typed kept beside it, except passwords and files."""
    asked_for = request.POST.get(ASKED_FOR) or request.method
    context = {"form": form, "kept": list(_kept(request)), "asked_for": asked_for, "lost_files": bool(request.FILES)}
    return render(request, "accounts/ask_again.html", context, status=403)


def _kept(request: SignedIn) -> Iterator[tuple[str, str]]:
    for name, values in request.POST.lists():
        if name not in OWN_FIELDS and "password" not in name:
            yield from ((name, str(value)) for value in values)
