"""Pages of the catalogue."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from registry.audio.following import save_model
from registry.equipment.models import Kind, MakeModel
from registry.equipment.queries import models_visible_to
from registry.web.access import SignedIn, changeable, visible, writer
from registry.web.crumbs import Crumbs
from registry.web.equipment.filters import (
    ITEM_COLUMNS,
    MODEL_COLUMNS,
    ModelFilter,
    listed_items,
    listed_models,
    model_page,
    say_or_more,
)
from registry.web.equipment.model_forms import CatalogueForm, LoudspeakerForm, RatingFormSet, RatingRows
from registry.web.exports import export_asked
from registry.web.lists import Listing
from registry.web.saving import saved, status_of, typed


def models(request: SignedIn) -> HttpResponseBase:
    """List the catalogue; counts of items end where neither an order nor a file needs them."""
    exact = bool(export_asked(request)) or request.GET.get("sort", "").endswith("items")
    found, prepare = listed_models(request.user, exact=exact), None if exact else say_or_more
    listing = Listing(request, found, MODEL_COLUMNS, name="models", filterset=ModelFilter, prepare=prepare)
    return listing.response("equipment/models.html")


def model(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show what a maker says of a model, and the items of it."""
    found = visible(models_visible_to(request.user).select_related("loudspeaker").prefetch_related("ratings"), pk=pk)
    items = listed_items(request.user).filter(make_model=found)
    listing = Listing(request, items, ITEM_COLUMNS, name=f"items {found}")
    spec = getattr(found, "loudspeaker", None)
    return listing.response("equipment/model.html", {"model": found, "spec": spec, "crumbs": _to_models()})


def _to_models() -> Crumbs:
    return [("Models", reverse("models"))]


@writer
def model_new(request: SignedIn) -> HttpResponseBase:
    """Record a catalogue entry."""
    return _edit(request, None)


def model_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a catalogue entry, its ratings and its loudspeaker data."""
    found = changeable(
        request, models_visible_to(request.user).select_related("loudspeaker").prefetch_related("ratings"), pk=pk
    )
    return _edit(request, found)


def _edit(request: SignedIn, model: MakeModel | None) -> HttpResponseBase:
    data = typed(request)
    form = CatalogueForm(data, instance=model, initial={"make": model.make.name} if model else {})
    ratings = _rating_rows(data, model, form)
    loudspeaker = LoudspeakerForm(data, prefix="loudspeaker", instance=getattr(model, "loudspeaker", None))
    form.part_forms = {"loudspeaker": loudspeaker}
    parts_fit = ratings.is_valid() and loudspeaker.is_valid()

    def save() -> MakeModel:
        is_loudspeaker = form.cleaned_data["kind"] == Kind.LOUDSPEAKER
        spec = loudspeaker.values() if is_loudspeaker else None
        return save_model(by=request.user, model=model, ratings=ratings.ratings(), loudspeaker=spec, **form.edited())

    if parts_fit and (made := saved(form, save)):
        messages.success(request, f"{made} is saved, and the lines that depend on it are judged anew.")
        return redirect("model", made.pk)
    crumbs = [*_to_models(), *([(str(model), model_page(model))] if model else [])]
    status = 422 if data is not None and not parts_fit else status_of(form)
    context = {"model": model, "form": form, "ratings": ratings, "loudspeaker": loudspeaker, "crumbs": crumbs}
    return render(request, "equipment/model_edit.html", context, status=status)


def _rating_rows(data: Mapping[str, Any] | None, model: MakeModel | None, form: CatalogueForm) -> RatingRows:
    """Return the rows as they were typed; as they are recorded when the writer took those of somebody else."""
    recorded = _ratings(model)
    if form.choices.get("ratings") == "theirs":
        data = RatingRows.as_sent(recorded, prefix="rating")
    return RatingFormSet(data, prefix="rating", initial=recorded)


def _ratings(model: MakeModel | None) -> list[dict[str, Any]]:
    fields = ("load_ohm", "line_v", "power_w", "min_load_ohm", "channels")
    rated = model.ratings.all() if model else ()
    return [{name: getattr(rating, name) for name in fields} for rating in rated]
