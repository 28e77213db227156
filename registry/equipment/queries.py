"""Reads that begin with who is looking, and the settings that hold now."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from django.contrib.auth.models import AnonymousUser
from django.db.models import FilteredRelation, Prefetch, Q, QuerySet

from registry.equipment.models import ConfigurationRecord, Item, MakeModel, Place, Placement, Setting
from sites.models import User
from sites.queries import at_sites_of, sites_visible_to


def places_visible_to(user: User | AnonymousUser) -> QuerySet[Place]:
    """Return the places that `user` may read."""
    return Place.objects.filter(at_sites_of(user)).select_related("site__client", "rack")


def items_visible_to(user: User | AnonymousUser) -> QuerySet[Item]:
    """Return the items that `user` may read."""
    return Item.objects.filter(at_sites_of(user)).select_related("site__client", "make_model__make")


def records_visible_to(user: User | AnonymousUser) -> QuerySet[ConfigurationRecord]:
    """Return the configuration records that `user` may read."""
    return ConfigurationRecord.objects.filter(at_sites_of(user, "place__site")).select_related("place__site")


def models_in_catalogue() -> QuerySet[MakeModel]:
    """Return what makers sell; the catalogue is shared by all clients and holds nothing of theirs."""
    return MakeModel.objects.select_related("make")


def models_visible_to(user: User | AnonymousUser) -> QuerySet[MakeModel]:
    """Return the models that `user` may read: an owner those at their sites, since prices of others tell on others."""
    if isinstance(user, User) and user.sees_every_client:
        return models_in_catalogue()
    sites = sites_visible_to(user)
    # Two lists, since one query that joins both tables pairs every item with every loudspeaker.
    items = MakeModel.objects.filter(items__site__in=sites).values("pk")
    loudspeakers = MakeModel.objects.filter(loudspeakers__site__in=sites).values("pk")
    return models_in_catalogue().filter(Q(pk__in=items) | Q(pk__in=loudspeakers))


class SettingNow(NamedTuple):
    """The newest value of one setting of a place, and the record that says so."""

    key: str
    value: str
    unit: str
    record: ConfigurationRecord

    @property
    def shown(self) -> str:
        """Value and unit as people read them."""
        return f"{self.value} {self.unit}".rstrip()


def settings_now(places: Iterable[Place]) -> dict[int, dict[str, SettingNow]]:
    """Return the newest value of every setting, by place and key. One query.

    A record that was corrected doesn't count; at the same time, as left is newer than as found.
    """
    rows = (
        Setting.objects.filter(record__place__in=list(places), record__correction__isnull=True)
        .select_related("record")
        .order_by("record__taken_at", "record__state", "record_id", "key")
    )
    now: dict[int, dict[str, SettingNow]] = {}
    for row in rows:
        now.setdefault(row.record.place_id, {})[row.key] = SettingNow(row.key, row.value, row.unit, row.record)
    return now


def _with_filling(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Join to rows the placement that holds now; Django sets no `filling` where none does, hence `is_filled`."""
    now = FilteredRelation("placements", condition=Q(placements__current=True))
    joined: QuerySet[Any] = rows.annotate(filling=now, is_filled=Q(filling__isnull=False))
    return joined


def with_items(places: QuerySet[Place]) -> QuerySet[Any]:
    """Join to the places of a site what fills each now, with its model, for `item_in`.

    Of one site only: a list of all sites has too many tables then for a planner to order their joins well.
    """
    return _with_filling(places).select_related("filling__item__make_model__make")


def item_in(place: Any) -> Item | None:
    """Return the item that fills a place now; it came through `with_items`."""
    return place.filling.item if place.is_filled else None


def with_places(items: QuerySet[Item]) -> QuerySet[Any]:
    """Join to the items of a site the place that each fills now, for `place_of`; of one site only, as `with_items`."""
    return _with_filling(items).select_related("filling__place")


def place_of(item: Any) -> Place | None:
    """Return the place that an item fills now; it came through `with_places`."""
    return item.filling.place if item.is_filled else None


def items_with_places(user: User | AnonymousUser) -> QuerySet[Item]:
    """Return the items that `user` may read; `fillings` holds the placement that each has now, with its rack."""
    now = Placement.objects.filter(current=True).select_related("place__rack")
    return items_visible_to(user).prefetch_related(Prefetch("placements", now, to_attr="fillings"))


def places_apart(items: QuerySet[Item]) -> QuerySet[Item]:
    """Fetch into `fillings` only what a list shows of where its items are."""
    now = Placement.objects.filter(current=True).select_related("place__rack")
    columns = ("item_id", "place__name", "place__position_u", "place__rack__name")
    return items.prefetch_related(Prefetch("placements", now.only(*columns), to_attr="fillings"))


def placements_of(item: Item) -> QuerySet[Placement]:
    """Return where an item is and was, the newest first."""
    return item.placements.select_related("place__rack", "place__site")


def items_in(place: Place) -> QuerySet[Placement]:
    """Return what fills and filled a place, the newest first."""
    return place.placements.select_related("item__make_model__make")


def records_of_item(item: Item, place: Place | None) -> QuerySet[ConfigurationRecord]:
    """Return every record that was read from an item, and those of the place where it is now."""
    return _with_settings(ConfigurationRecord.objects.filter(Q(item=item) | Q(place=place)))


def records_of_place(place: Place) -> QuerySet[ConfigurationRecord]:
    """Return every record of a place, the newest first."""
    return _with_settings(ConfigurationRecord.objects.filter(place=place))


def _with_settings(records: QuerySet[ConfigurationRecord]) -> QuerySet[ConfigurationRecord]:
    return records.select_related("place", "item", "recorded_by", "correction").prefetch_related("settings")
