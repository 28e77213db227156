"""A tech's visits in their own calendar: make an address, show it once, revoke it; and the file itself."""

import hashlib

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from registry.exchange.calendar import CONTENT_TYPE, CalendarVisit, calendar_file
from registry.visits.feeds import feed_of, feeds_of, make_feed, revoke_feed, visits_in_feed
from registry.web.access import SignedIn, visible, writer
from registry.web.saving import saved, status_of, typed
from registry.web.sites.sentences import number_of


class FeedForm(forms.Form):
    """For which calendar."""

    name = forms.CharField(label="For which calendar", max_length=80, help_text="Such as “My phone”.")


@never_cache
@writer
def feeds(request: SignedIn) -> HttpResponseBase:
    """Show one's own addresses, and make another one, which this page shows once."""
    form = FeedForm(typed(request))
    made = saved(form, lambda: make_feed(by=request.user, name=form.cleaned_data["name"]))
    address = request.build_absolute_uri(reverse("calendar-feed", args=[made.secret])) if made else ""
    known = list(feeds_of(request.user))
    works = f"{number_of(len(known), 'address')[:-1]}es work." if len(known) != 1 else "One address works."
    sentence = works if known else "Your visits can stand in your own calendar."
    context = {"form": FeedForm() if made else form, "feeds": known, "address": address, "sentence": sentence}
    return render(request, "visit_plans/feeds.html", context, status=status_of(form))


@writer
def feed_revoke(request: SignedIn, pk: int) -> HttpResponseBase:
    """Take an address back."""
    found = visible(feeds_of(request.user), pk=pk)
    if request.method == "POST":
        revoke_feed(by=request.user, feed=found)
        messages.success(request, f"The address for {found.name} no longer works.")
    return redirect("calendar-feeds")


@login_not_required
@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponseBase:
    """Return the calendar of whoever holds the address; anybody else finds nothing."""
    found = feed_of(token)
    if found is None:
        raise Http404
    shown = [
        CalendarVisit(
            uid=f"visit-{visit.pk}@{request.get_host()}",
            title=visit.title,
            site=visit.site.name,
            starts_at=visit.starts_at,
            minutes=visit.planned_minutes,
            changes=visit.changes or 1,
            changed_at=visit.changed_at or visit.starts_at,
            called_off=bool(visit.called_off_because),
            url=request.build_absolute_uri(reverse("visit", args=[visit.pk])),
        )
        for visit in visits_in_feed(found)
    ]
    return conditional(request, calendar_file(f"Visits of {found.user}", shown))


def conditional(request: HttpRequest, content: bytes) -> HttpResponseBase:
    """Return the file, or that it is the one that the calendar has already."""
    etag = quote_etag(hashlib.sha256(content).hexdigest())
    response = HttpResponse(content, content_type=CONTENT_TYPE)
    response.headers["ETag"] = etag
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["X-Robots-Tag"] = "noindex"
    return get_conditional_response(request, etag=etag, response=response) or response
