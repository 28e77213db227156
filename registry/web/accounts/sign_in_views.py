"""The door: password, then a code where the person has a second factor; and the way out."""

import logging
from typing import Any, Final, cast

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, LogoutView
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from registry.web.access import SignedIn
from registry.web.accounts.forms import CodeForm
from registry.web.saving import typed
from sites.models import RecoverySheet, User
from sites.queries import person_signing_in
from sites.second_factor import check_code, has_second_factor, note_recovery, seconds_to_wait

log = logging.getLogger(__name__)
PENDING: Final = "pending_sign_in"
PENDING_SECONDS: Final = 600
BACKEND: Final = "django.contrib.auth.backends.ModelBackend"


class SignIn(LoginView):
    """Asks for name and password; who has a second factor isn't in yet after that."""

    template_name = "accounts/sign_in.html"
    redirect_authenticated_user = True

    def form_valid(self, form: Any) -> HttpResponse:
        """Let the person in, or ask for the code first."""
        user = form.get_user()
        if not has_second_factor(user):
            return super().form_valid(form)
        self.request.session.cycle_key()
        now = int(timezone.now().timestamp())
        self.request.session[PENDING] = {"user": user.pk, "at": now, "next": self.get_success_url()}
        return redirect("sign-in-code")


@login_not_required
@never_cache
@sensitive_post_parameters()
def sign_in_code(request: HttpRequest) -> HttpResponseBase:
    """Ask who gave the right password for a code, and let them in."""
    pending = request.session.get(PENDING)
    if not pending or timezone.now().timestamp() - pending["at"] > PENDING_SECONDS:
        messages.info(request, "Sign in with your password first; the code comes after it.")
        return redirect("sign-in")
    user = person_signing_in(pending["user"])
    form = CodeForm(typed(request))
    if user and form.is_valid() and (device := device_for(form, user)):
        user.otp_device = device  # type: ignore[attr-defined]
        login(request, user, backend=BACKEND)
        request.session.pop(PENDING, None)
        greet(cast(SignedIn, request), device)
        return redirect(pending["next"])
    return render(request, "accounts/sign_in_code.html", {"form": form}, status=422 if form.errors else 200)


def device_for(form: Form, user: User) -> Any:
    """Return what the typed code came from; None after a remark beside the field."""
    code = form.cleaned_data["code"]
    wait = seconds_to_wait(user, code)
    device = None if wait else check_code(user, code)
    if wait:
        form.add_error("code", f"Too many wrong codes. Wait {wait} s, then try the code that the app shows.")
    elif device is None:
        log.warning("wrong code for person %s", user.pk)
        form.add_error("code", "This code is wrong or was used before. Wait for the next one.")
    return device


def greet(request: SignedIn, device: Any) -> None:
    """Say how many recovery codes are left when one was used."""
    if isinstance(device, RecoverySheet):
        left = note_recovery(by=request.user)
        messages.warning(request, f"That was a recovery code: {left} left. Make new ones on Your account.")


class SignOut(LogoutView):
    """Ends the sign-in, and has the browser forget the pages that it kept."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
        """Sign out."""
        response = super().post(request, *args, **kwargs)
        response.headers["Clear-Site-Data"] = '"cache", "storage"'
        return response
