"""Filters and columns of the lists of items and models."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any, cast

import django_filters
from django.db.models import Count, OuterRef, Q, QuerySet
from django.utils import timezone

from registry.equipment.models import Item, Kind, MakeModel, Status
from registry.equipment.queries import (
    items_visible_to,
    models_in_catalogue,
    models_visible_to,
    places_apart,
)
from registry.search.queries import rows_holding
from registry.web.addresses import row_page
from registry.web.fields import RowFilter
from registry.web.lists import Column, ListFilter, Listing, with_columns
from registry.web.sites.filters import clients_for, site_page, sites_for
from sites import bounded_counts as counts
from sites.bounded_counts import CountedPages
from sites.models import User

WARRANTY_DAYS = 90


def listed_items(user: User) -> QuerySet[Item]:
    """Return the items that `user` may read, with what the list shows of them and of where they are."""
    own, site = ("tag", "serial", "status", "warranty_until"), ("site__name", "site__code", "site__units")
    model = ("make_model__name", "make_model__kind", "make_model__make__name")
    return places_apart(with_columns(items_visible_to(user), *own, *site, *model))


def listed_models(user: User, *, exact: bool) -> QuerySet[MakeModel]:
    """Return the catalogue with the number of items that `user` may read; counted to the end if `exact`."""
    mine = items_visible_to(user).filter(make_model=OuterRef("pk")).order_by().values("pk")
    return models_visible_to(user).annotate(item_count=counts.CountUpTo(mine if exact else mine[: counts.COUNTED]))


def say_or_more(models: Sequence[Any]) -> None:
    """Say of counts that ended that there may be more."""
    for model in models:
        if model.item_count == counts.COUNTED:
            model.item_count = counts.or_more(model.item_count)


class ItemFilter(ListFilter):
    """By client, site, kind, state and warranty."""

    q = django_filters.CharFilter(method="by_words", label="Tag, serial or model contains")
    client = RowFilter(field_name="site__client", queryset=clients_for, label="Client", empty_label="Any")
    site = RowFilter(queryset=sites_for, label="Site", empty_label="Any", typed_as=("code", "name"))
    kind = django_filters.ChoiceFilter(
        field_name="make_model__kind", choices=Kind.choices, label="Kind", empty_label="Any"
    )
    status = django_filters.ChoiceFilter(choices=Status.choices, label="State", empty_label="Any")
    warranty = django_filters.NumberFilter(
        method="by_warranty", label="Warranty ends within (days)", min_value=0, max_value=36500
    )

    def by_words(self, queryset: QuerySet[Item], name: str, value: str) -> QuerySet[Item]:
        """Match tag, serial, make or model."""
        known = models_in_catalogue().filter(Q(name__icontains=value) | Q(make__name__icontains=value))
        found = rows_holding("item", value)
        own = Q(tag__icontains=value) | Q(serial__icontains=value) if found is None else Q(pk__in=found)
        return queryset.filter(own | Q(make_model__in=list(known.values_list("pk", flat=True))))

    def by_warranty(self, queryset: QuerySet[Item], name: str, value: Any) -> QuerySet[Item]:
        """Match items still in use whose warranty ends between today and that many days on."""
        return warranty_ends_within(queryset, int(value))


def warranty_ends_within(items: QuerySet[Item], days: int) -> QuerySet[Item]:
    """Return the items, removed ones left out, whose warranty ends between today and that many days on."""
    today = timezone.localdate()
    ending = items.filter(warranty_until__range=(today, today + timedelta(days=days)))
    return ending.exclude(status=Status.REMOVED).order_by("warranty_until", "pk")


class ModelFilter(ListFilter):
    """By kind and words."""

    q = django_filters.CharFilter(method="by_words", label="Make or model contains")
    kind = django_filters.ChoiceFilter(choices=Kind.choices, label="Kind", empty_label="Any")

    def by_words(self, queryset: QuerySet[MakeModel], name: str, value: str) -> QuerySet[MakeModel]:
        """Match make or model."""
        return queryset.filter(Q(name__icontains=value) | Q(make__name__icontains=value))


def items_sentence(listing: Listing[Item]) -> str:
    """Return how many items there are, and in which state; where they are too many to count, how many aren't in use."""
    pages = cast("CountedPages", listing.page.paginator)
    others = listing.queryset.order_by().filter(status__in=[each for each in Status if each != Status.IN_SERVICE])
    counted = dict(others.values_list("status").annotate(number=Count("pk")))
    in_service = pages.count - sum(counted.values())
    counted |= {Status.IN_SERVICE: in_service} if in_service > 0 and not pages.has_more else {}
    said = [f"{counted[status]} {Status(status).label.lower()}" for status in Status.values if status in counted]
    noun = f"item{'' if pages.count == 1 else 's'}"
    return f"{pages.number_of_rows} {noun}{': ' if said else ''}{', '.join(said)}."


def item_page(item: Item) -> str:
    """Return the address of an item's page."""
    return row_page("item", item.pk)


def model_page(model: MakeModel) -> str:
    """Return the address of a model's page."""
    return row_page("model", model.pk)


def _place(item: Any) -> str:
    return item.fillings[0].place.name if item.fillings else ""


def _rack(item: Any) -> str:
    place = item.fillings[0].place if item.fillings else None
    if place is None or place.rack is None:
        return ""
    return f"{place.rack}, U{place.position_u}" if place.position_u else str(place.rack)


ITEM_COLUMNS = (
    Column(heading="Tag", value=lambda item: item.tag, sort=("tag",), link=item_page),
    Column(
        heading="Model",
        value=lambda item: str(item.make_model),
        sort=("make_model__make__name", "make_model__name"),
        link=lambda item: model_page(item.make_model),
    ),
    Column(heading="Kind", value=lambda item: item.make_model.get_kind_display(), sort=("make_model__kind",)),
    Column(
        heading="Site",
        value=lambda item: item.site.name,
        sort=("site__name", "tag"),
        link=lambda item: site_page(item.site),
    ),
    Column(heading="Place", value=_place, blank="none"),
    Column(heading="Rack", value=_rack, blank="none"),
    Column(heading="Serial", value=lambda item: item.serial, sort=("serial",)),
    Column(heading="State", value=lambda item: item.get_status_display(), sort=("status",)),
    Column(heading="Warranty until", value=lambda item: item.warranty_until, sort=("warranty_until",), kind="day"),
)

MODEL_COLUMNS = (
    Column(heading="Model", value=str, sort=("make__name", "name"), link=model_page),
    Column(heading="Kind", value=lambda model: model.get_kind_display(), sort=("kind",)),
    Column(heading="Height", value=lambda model: model.rack_units, sort=("rack_units",), unit="U"),
    Column(heading="Weight", value=lambda model: model.weight_kg, sort=("weight_kg",), unit="kg"),
    Column(heading="Greatest power", value=lambda model: model.max_w, sort=("max_w",), unit="W"),
    Column(heading="Items", value=lambda model: model.item_count, sort=("item_count",), kind="number"),
)
