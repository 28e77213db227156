"""Pages of tokens, for managers. The secret is shown once, in the answer to the form."""

from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache

from registry.web.access import SignedIn, visible
from registry.web.accounts.people_views import manager
from registry.web.crumbs import Crumbs
from registry.web.fresh import fresh_sign_in_required
from registry.web.lists import Column, Listing
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from registry.web.tokens.forms import TokenForm
from sites.tokens import issue_token, revoke_token, tokens_visible_to


def state_of(token: Any) -> str:
    """Return whether a token lets its program in."""
    if token.revoked_at:
        return "taken back"
    return "works" if token.works else "run out"


def sees(token: Any) -> str:
    """Return whose sites its program sees."""
    if token.every_client:
        return "every client"
    return ", ".join(each.client.name for each in token.user.memberships.all())


def revoke_page(token: Any) -> str:
    """Return where a token is taken back; empty when it is already."""
    return "" if token.revoked_at else reverse("token-revoke", args=[token.pk])


TOKEN_COLUMNS = (
    Column(heading="Program", value=lambda token: token.name, sort=("name",)),
    Column(heading="State", value=state_of),
    Column(heading="May", value=lambda token: "read and write" if token.may_write else "read"),
    Column(heading="Sees", value=sees),
    Column(
        heading="Last used", value=lambda token: token.last_used_at, sort=("last_used_at",), kind="day", blank="never"
    ),
    Column(heading="Runs out", value=lambda token: token.expires_at, sort=("expires_at",), kind="day", blank="never"),
    Column(heading="Handed out by", value=lambda token: str(token.created_by)),
    Column(
        heading="Take it back",
        value=lambda token: "" if token.revoked_at else "Take it back",
        link=revoke_page,
        blank="done",
    ),
)


def tokens_crumbs() -> Crumbs:
    """Return the way down to the tokens."""
    return [("For other programs", reverse("api-docs")), ("Tokens", reverse("tokens"))]


@manager
def tokens(request: SignedIn) -> HttpResponseBase:
    """List tokens."""
    listing = Listing(request, tokens_visible_to(request.user), TOKEN_COLUMNS, name="tokens")
    return listing.response("tokens/tokens.html", {"crumbs": tokens_crumbs()[:1]})


@manager
@never_cache
@fresh_sign_in_required
def token_new(request: SignedIn) -> HttpResponseBase:
    """Hand out a token, and show its secret this once."""
    form = TokenForm(typed(request), by=request.user)
    if issued := saved(form, lambda: issue_token(by=request.user, **form.values())):
        return render(request, "tokens/issued.html", {"issued": issued, "crumbs": tokens_crumbs()})
    answer = "Whoever holds the token is the program: give each program its own, with no more rights than it needs."
    return form_page(request, form, heading="New token", answer=answer, crumbs=tokens_crumbs(), save="Make the token")


@manager
@fresh_sign_in_required
def token_revoke(request: SignedIn, pk: int) -> HttpResponseBase:
    """Take a token back, after asking."""
    token = visible(tokens_visible_to(request.user), pk=pk)
    form = Form(typed(request))
    if saved(form, lambda: revoke_token(by=request.user, token=token)):
        messages.success(request, f"The token of {token} is taken back: it lets nobody in any more.")
        return redirect("tokens")
    answer = "Its program is locked out at once and for good. What it wrote keeps its name in the history."
    heading = f"Take back the token of {token}"
    return form_page(request, form, heading=heading, answer=answer, crumbs=tokens_crumbs(), save="Take it back")
