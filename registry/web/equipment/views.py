"""Pages of items."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.audio.following import save_item
from registry.audio.queries import lines_visible_to
from registry.baselines.queries import newest_baselines
from registry.equipment.models import Item
from registry.equipment.queries import items_with_places, placements_of, records_of_item
from registry.equipment.sweep_queries import last_seen
from registry.web.access import SignedIn, changeable, visible
from registry.web.crumbs import site_crumbs
from registry.web.equipment.filters import ITEM_COLUMNS, ItemFilter, item_page, items_sentence, listed_items
from registry.web.equipment.forms import ItemForm
from registry.web.equipment.place_page import picked_difference, setting_lines, settings_sentence
from registry.web.lists import Listing
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.models import Site, User
from sites.queries import sites_visible_to


def equipment(request: SignedIn) -> HttpResponseBase:
    """List items."""
    listing = Listing(request, listed_items(request.user), ITEM_COLUMNS, name="equipment", filterset=ItemFilter)
    return listing.response("equipment/items.html", {"sentence": items_sentence(listing)})


def item(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show an item: where it is and was, its settings now, its records and the difference of any two."""
    found = visible(items_with_places(request.user), pk=pk)
    context = {"item": found, "crumbs": site_crumbs(found.site), **_item_context(request, found)}
    return render(request, "equipment/item.html", context)


def _item_context(request: SignedIn, item: Item) -> dict[str, Any]:
    fillings = item.fillings  # type: ignore[attr-defined]
    place = fillings[0].place if fillings else None
    baseline = newest_baselines([item.site_id]).get(item.site_id)
    lines = setting_lines(place, baseline) if place else []
    records = list(records_of_item(item, place))
    return {
        "place": place,
        "placement": fillings[0] if fillings else None,
        "placements": list(placements_of(item)),
        "baseline": baseline,
        "settings": lines,
        "settings_sentence": settings_sentence(lines, baseline)
        if place
        else "It is in no place, so it has no settings now.",
        "records": records,
        "difference": picked_difference(records, request.GET),
        "flagged": _flagged(request.user, place.pk) if place else [],
        "seen": last_seen([item]).get(item.pk),
    }


def _flagged(user: User, place_id: int) -> list[str]:
    lines = lines_visible_to(user).filter(amplifier=place_id).exclude(life_safety="no")
    return [line.name for line in lines]


def item_new(request: SignedIn, code: str) -> HttpResponseBase:
    """Record an item of a site."""
    site = changeable(request, sites_visible_to(request.user), code=code)
    form = ItemForm(typed(request), site=site, initial={"mac": request.GET.get("mac", "")})
    if made := saved(form, lambda: _save(request.user, site, None, form)):
        messages.success(request, f"Item {made} is recorded.")
        return redirect("item", made.pk)
    answer = "One piece of equipment. Its settings and lines belong to the place that it fills."
    crumbs = site_crumbs(site)
    return form_page(request, form, heading="New item", answer=answer, crumbs=crumbs, save="Record item")


def item_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change an item, or put it in another place."""
    found = changeable(request, items_with_places(request.user), pk=pk)
    now = found.fillings[0] if found.fillings else None  # type: ignore[attr-defined]
    start = {"place": now and now.place_id, "since": now and now.installed_on}
    form = ItemForm(typed(request), instance=found, site=found.site, initial=start)
    if made := saved(form, lambda: _save(request.user, found.site, found, form)):
        messages.success(request, f"Item {made} is saved.")
        return redirect("item", made.pk)
    crumbs = [*site_crumbs(found.site), (found.tag, item_page(found))]
    answer = "Where it was before stays on its page."
    return form_page(
        request, form, heading=f"Edit {found}", answer=answer, crumbs=crumbs, cautions=["mains", "lifting"]
    )


def _save(user: User, site: Site, item: Item | None, form: ItemForm) -> Item:
    return save_item(
        by=user,
        site=site,
        item=item,
        values=form.values(without=("place", "since")),
        version=form.version(),
        place=form.cleaned_data["place"],
        since=form.cleaned_data["since"],
    )
