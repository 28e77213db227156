"""What a phone asks and sends while somebody is signed in."""

from django.http import HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from registry.web.access import SignedIn, visible
from registry.web.offline.app import version
from registry.web.offline.bundle import bundle_of
from registry.web.offline.entries import Answer, EntryError, answer_to, read_entry
from sites.queries import sites_visible_to

STATUS = {"accepted": 201, "already accepted": 200, "conflict": 409, "refused": 422}


@require_safe
def phone(request: SignedIn) -> HttpResponse:
    """Show what this phone keeps, and what waits to be sent: script fills it in, for only the phone knows."""
    return render(request, "offline/phone.html", {"version": version()})


@require_safe
def state(request: SignedIn) -> JsonResponse:
    """Say that the register can be reached, who is signed in, and with which token entries may be sent."""
    return JsonResponse({"person": request.user.pk, "csrf": get_token(request), "now": timezone.now()})


@require_safe
def site_bundle(request: SignedIn, code: str) -> JsonResponse:
    """Return the addresses that make up a site, for the phone to keep."""
    site = visible(sites_visible_to(request.user), code=code)
    return JsonResponse(
        {
            "code": site.code,
            "name": site.name,
            "person": request.user.pk,
            "version": version(),
            "made_at": timezone.now(),
            "urls": bundle_of(request.user, site),
        }
    )


@require_POST
def entries(request: SignedIn) -> JsonResponse:
    """Take one entry that was made on a phone; the same one again is answered and not done again."""
    try:
        entry = read_entry(request)
    except EntryError as wrong:
        return JsonResponse(Answer("refused", why=str(wrong)).content(), status=wrong.status)
    answer = answer_to(entry)
    return JsonResponse(answer.content(), status=STATUS[answer.answer])
