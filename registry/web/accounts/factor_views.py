"""Turning the second factor on and off, and its recovery codes."""

from base64 import b32encode
from io import BytesIO

import segno
from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django_otp import login as remember_device
from django_otp.plugins.otp_totp.models import TOTPDevice

from registry.web.access import SignedIn
from registry.web.accounts.account_views import account_crumbs, end_others
from registry.web.accounts.forms import AppCodeForm
from registry.web.accounts.middleware import before_second_factor
from registry.web.fresh import fresh_sign_in_required
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.second_factor import (
    begin_second_factor,
    confirm_second_factor,
    has_second_factor,
    is_obliged,
    renew_recovery_codes,
    turn_off_second_factor,
)

QUIET_MODULES = 4  # ISO/IEC 18004


@before_second_factor
@never_cache
@sensitive_post_parameters()
@fresh_sign_in_required
def second_factor_on(request: SignedIn) -> HttpResponseBase:
    """Show the key, and turn the second factor on with the first code."""
    if has_second_factor(request.user):
        messages.info(request, "Your second factor is on. Turn it off first to use another phone.")
        return redirect("account")
    form = AppCodeForm(typed(request))
    done = saved(form, lambda: confirm_second_factor(by=request.user, code=form.cleaned_data["code"]))
    if done is None:
        return _key_page(request, form)
    app, codes = done
    remember_device(request, app)
    request.session.cycle_key()
    end_others(request, request.user)
    return codes_page(
        request, codes, "Your second factor is on: from now on signing in takes a code from the app as well."
    )


def _key_page(request: SignedIn, form: AppCodeForm) -> HttpResponse:
    app = begin_second_factor(by=request.user)
    context = {
        "form": form,
        "qr": qr_of(app),
        "link": app.config_url,
        "key": spaced(b32encode(app.bin_key).decode("ascii").rstrip("=")),
        "is_obliged": is_obliged(request.user),
        "crumbs": account_crumbs(),
    }
    return render(request, "accounts/second_factor_on.html", context, status=422 if form.errors else 200)


@never_cache
@fresh_sign_in_required
def recovery_codes(request: SignedIn) -> HttpResponseBase:
    """Replace the recovery codes, and show the new ones this once."""
    if not has_second_factor(request.user):
        messages.info(request, "Recovery codes come with a second factor: turn it on first.")
        return redirect("account")
    if request.method == "POST":
        return codes_page(
            request, renew_recovery_codes(by=request.user), "The codes that you had before no longer work."
        )
    context = {"crumbs": account_crumbs()}
    return render(request, "accounts/recovery_codes_new.html", context)


def codes_page(request: SignedIn, codes: list[str], answer: str) -> HttpResponse:
    """Show recovery codes, which nobody can show again."""
    context = {"codes": codes, "answer": answer, "crumbs": account_crumbs()}
    return render(request, "accounts/recovery_codes.html", context)


@fresh_sign_in_required
def second_factor_off(request: SignedIn) -> HttpResponseBase:
    """Turn the second factor off."""
    form = Form(typed(request))
    if saved(form, lambda: turn_off(request)):
        messages.success(request, "Your second factor is off: the password alone signs you in.")
        return redirect("account")
    answer = "After this the password alone signs you in, and your recovery codes stop working."
    words = {"heading": "Turn the second factor off", "answer": answer, "save": "Turn it off"}
    return form_page(request, form, crumbs=account_crumbs(), **words)


def turn_off(request: SignedIn) -> bool:
    """Turn it off; return that it was done."""
    turn_off_second_factor(by=request.user)
    return True


def qr_of(app: TOTPDevice) -> str:
    """Return the code that hands the key to an authenticator app, as SVG without any style."""
    drawn = BytesIO()
    code = segno.make_qr(app.config_url)
    code.save(drawn, kind="svg", border=QUIET_MODULES, xmldecl=False, nl=False, omitsize=True, light="white")
    return drawn.getvalue().decode("ascii")


def spaced(key: str) -> str:
    """Return the key in groups of four, to be typed.

    >>> spaced("JBSWY3DPEHPK")
    'JBSW Y3DP EHPK'
    """
    return " ".join(key[at : at + 4] for at in range(0, len(key), 4))
