"""Photos of spots: send one, look at it, remove it. Only who may read the site gets the picture."""

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.audio.queries import zones_visible_to
from registry.planning.commissioning_queries import open_commissioning, spot_photos_visible_to
from registry.planning.models import SpotPhoto
from registry.planning.photos import add_photo, remove_photo
from registry.planning.sequence import Subject
from registry.web.access import SignedIn, changeable, visible
from registry.web.audio.zone_views import zone_crumbs
from registry.web.commissioning.forms import PhotoForm
from registry.web.commissioning.here import Here, back_to, here_to_write
from registry.web.commissioning.stop_pages import show
from registry.web.pictures import picture_response
from registry.web.saving import saved
from sites.photos import MOST_BYTES


def photo_new(request: SignedIn, pk: int, zone: int) -> HttpResponseBase:
    """Keep a photo of a zone's spot."""
    at = here_to_write(request, pk, Subject.ZONE, zone)
    if request.method != "POST":
        return redirect("commissioning-zone", pk, zone)
    form = PhotoForm(request.POST, request.FILES)
    # One byte more than is taken: enough to be refused, without reading all of a huge file.
    if saved(form, lambda: _kept(request, at, form.cleaned_data["photo"].read(MOST_BYTES + 1))):
        messages.success(request, "The photo is kept. Look at it once: does it show a password or a person?")
        return back_to(at.run, at.stop, "spot")
    return show(request, at, {"photo_form": form})


def _kept(request: SignedIn, at: Here, data: bytes) -> SpotPhoto:
    zone = visible(zones_visible_to(request.user), pk=at.stop.pk)
    return add_photo(by=request.user, commissioning=at.run, zone=zone, data=data)


def photo(request: SignedIn, pk: int) -> HttpResponseBase:
    """Return the picture itself."""
    found = visible(spot_photos_visible_to(request.user), pk=pk)
    return picture_response(found.image)


def photo_remove(request: SignedIn, pk: int) -> HttpResponseBase:
    """Ask, then remove a photo for good."""
    found = changeable(request, spot_photos_visible_to(request.user), pk=pk)
    run = open_commissioning(request.user, found.zone.site)
    back = reverse("commissioning-zone", args=[run.pk, found.zone_id]) if run else reverse("zone", args=[found.zone_id])
    if request.method == "POST":
        remove_photo(by=request.user, photo=found)
        messages.success(request, "The photo is removed.")
        return redirect(back)
    context = {"photo": found, "site": found.zone.site, "crumbs": zone_crumbs(found.zone), "back": back}
    return render(request, "commissioning/photo_remove.html", context)
