"""Places, and the items that fill them."""

from typing import Any

import django_filters
from django.db.models import QuerySet

from registry.api.fields import Day, Reference, Whole
from registry.api.filters import IdFilter, OfSite, TextFilter
from registry.api.rows import Row, change_of
from registry.api.views import Added, Changed
from registry.audio.following import save_item
from registry.equipment.editing import save_place
from registry.equipment.models import Item, Place, Status
from registry.equipment.queries import items_with_places, models_visible_to, places_visible_to
from sites.models import User
from sites.queries import racks_visible_to, sites_visible_to
from sites.versions import version_of


class PlaceRow(Row):
    """Where an item does its work."""

    site = Reference(sites_visible_to)
    rack = Reference(racks_visible_to, required=False, allow_null=True)
    position_u = Whole(
        min_value=1, max_value=60, required=False, allow_null=True, help_text="The lowest unit, from 1 at the bottom."
    )

    class Meta:
        """Everything."""

        model = Place
        fields = ("id", "site", "name", "rack", "position_u", "face", "ip", "hostname", "switch", "port")


class PlaceFilter(OfSite):
    """By rack and address too."""

    rack = IdFilter("rack_id", label="Id of the rack.")
    hostname = TextFilter("hostname", label="The exact host name.")


class Places(Added, Changed):
    """Places: settings, lines and baselines belong to them, whichever item is there."""

    serializer_class = PlaceRow
    change_serializer_class = change_of(PlaceRow, "site")
    filterset_class = PlaceFilter
    search_fields = ("name", "hostname")
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[Place]:
        """Return the places at the reader's sites."""
        return places_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Place:
        """Record a place."""
        site = values.pop("site")
        return save_place(by=by, site=site, place=None, values=values)

    def change(self, by: User, row: Place, values: dict[str, Any]) -> Place:
        """Change a place."""
        return save_place(by=by, site=row.site, place=row, values=values, version=version_of(row))


class PlaceNow(Reference):
    """The place that an item fills now."""

    def get_attribute(self, instance: Any) -> int | None:
        """Return its id."""
        return instance.fillings[0].place_id if instance.fillings else None


class Since(Day):
    """The day on which an item came to its place."""

    def get_attribute(self, instance: Any) -> Any:
        """Return it; None when nobody knows."""
        return instance.fillings[0].installed_on if instance.fillings else None


class ItemRow(Row):
    """One physical piece of equipment. Whoever filled its place before is closed there, not lost."""

    site = Reference(sites_visible_to)
    make_model = Reference(models_visible_to)
    place = PlaceNow(places_visible_to, required=False, allow_null=True)
    since = Since(required=False, allow_null=True, help_text="In this place since; taken out of it: the day it left.")

    class Meta:
        """Everything."""

        model = Item
        fields = ("id", "site", "tag", "make_model", "serial", "mac", "warranty_until", "status", "place", "since")

    def values(self) -> dict[str, Any]:
        """Return the row; an item that isn't sent elsewhere stays in its place."""
        values = super().values()
        fillings = self.instance.fillings if self.instance is not None else []
        if fillings and "place" not in values:
            values |= {"place": fillings[0].place, "since": values.get("since", fillings[0].installed_on)}
        return values


class ItemFilter(OfSite):
    """By model, state and serial too."""

    make_model = IdFilter("make_model_id", label="Id of the model.")
    status = django_filters.ChoiceFilter(choices=Status.choices)
    tag = TextFilter("tag", label="The exact tag.")
    serial = TextFilter("serial", label="The exact serial number.")


class Items(Added, Changed):
    """Items: pieces of equipment with tag and serial."""

    serializer_class = ItemRow
    change_serializer_class = change_of(ItemRow, "site")
    filterset_class = ItemFilter
    search_fields = ("tag", "serial", "mac")
    orders = ("tag", "id")

    def rows(self, user: User) -> QuerySet[Item]:
        """Return the items at the reader's sites, each with the place it fills."""
        return items_with_places(user)

    def add(self, by: User, values: dict[str, Any]) -> Item:
        """Record an item."""
        return self.change(by, None, values)

    def change(self, by: User, row: Item | None, values: dict[str, Any]) -> Item:
        """Change an item, or put it in another place; lines of both are judged anew."""
        site = values.pop("site") if row is None else row.site
        place, since = values.pop("place", None), values.pop("since", None)
        version = version_of(row) if row else None
        return save_item(by=by, site=site, item=row, values=values, place=place, since=since, version=version)
