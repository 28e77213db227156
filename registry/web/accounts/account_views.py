"""Your account: password, second factor, where you are signed in."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from registry.web.access import SignedIn, visible
from registry.web.accounts.forms import ChangePasswordForm
from registry.web.crumbs import Crumbs
from registry.web.fresh import fresh_sign_in_required, prove
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.models import User
from sites.queries import account_events_visible_to, sign_ins_visible_to
from sites.second_factor import codes_left, has_second_factor, is_obliged
from sites.sign_ins import end_sign_in, end_sign_ins, note_password_change

EVENTS_SHOWN = 20
RULE = "Twelve characters or more; a few unrelated words are easy to type on a phone. Every other sign-in ends."


def account(request: SignedIn) -> HttpResponseBase:
    """Show one's own account."""
    user = request.user
    sign_ins = sign_ins_visible_to(user).filter(user=user)
    context = {
        "sign_ins": sign_ins,
        "here": request.session.get("ident"),
        "others": sum(each.ident != request.session.get("ident") for each in sign_ins),
        "events": account_events_visible_to(user).filter(user=user)[:EVENTS_SHOWN],
        "has_factor": has_second_factor(user),
        "is_obliged": is_obliged(user),
        "codes_left": codes_left(user),
    }
    return render(request, "accounts/account.html", context)


@sensitive_post_parameters()
def password_change(request: SignedIn) -> HttpResponseBase:
    """Change one's own password."""
    form = ChangePasswordForm(request, typed(request))
    if person := saved(form, form.save):
        update_session_auth_hash(request, person)
        prove(request)
        note_password_change(by=request.user, user=person, keep=request.session.session_key or "")
        messages.success(request, "Your password is changed. Every other sign-in of yours has ended.")
        return redirect("account")
    return form_page(
        request, form, heading="Change your password", answer=RULE, crumbs=account_crumbs(), save="Change password"
    )


@require_POST
@fresh_sign_in_required
def sign_in_end(request: SignedIn, ident: str) -> HttpResponseBase:
    """End one of one's own sign-ins."""
    found = visible(sign_ins_visible_to(request.user).filter(user=request.user), ident=ident)
    end_sign_in(by=request.user, sign_in=found)
    if ident == request.session.get("ident"):
        request.session.flush()
        return redirect("sign-in")
    messages.success(request, f"The sign-in with {found.browser} has ended.")
    return redirect("account")


@require_POST
@fresh_sign_in_required
def sign_ins_end(request: SignedIn) -> HttpResponseBase:
    """End all of one's own sign-ins but this one."""
    ended = end_others(request, request.user)
    messages.success(request, f"{ended} other sign-in{'' if ended == 1 else 's'} ended.")
    return redirect("account")


def end_others(request: SignedIn, user: User) -> int:
    """End the sign-ins of `user`, except the one that asks."""
    return end_sign_ins(by=request.user, user=user, keep=request.session.session_key or "")


def account_crumbs() -> Crumbs:
    """Return the way to one's own account."""
    return [("Your account", reverse("account"))]
