"""What an owner's report and its snapshot are made of: each table is read once, when something of it is asked for."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any, Final, NamedTuple

from django.db.models import (
    Case,
    Count,
    DateField,
    FilteredRelation,
    IntegerField,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)

from registry.audio.models import Loudspeaker
from registry.baselines.models import Baseline
from registry.equipment.models import Item, Place, Status
from registry.visits.models import Finding, Visit
from sites.models import Site

NO_NUMBER, NO_DAY, NO_WORDS = Value(None, IntegerField()), Value(None, DateField()), Value("")
MODEL: Final = tuple(
    f"make_model__{column}"
    for column in ("id", "make__name", "name", "kind", "price", "currency", "support_until", "life_years")
)


class Thing(NamedTuple):
    """An item that was not removed, or so many loudspeakers of one model in one zone, with the model's columns."""

    site_id: int
    item_id: int | None
    tag: str
    mac: str
    status: str
    warranty_until: date | None
    place_id: int | None
    place: str | None
    rack: str | None
    model_id: int | None
    make: str | None
    name: str | None
    kind: str | None
    price: Decimal | None
    currency: str | None
    support_until: date | None
    life_years: float | None
    installed_on: date | None
    pieces: int

    @property
    def what(self) -> str:
        """Its make and model."""
        return f"{self.make} {self.name}"


class OwnersRows:
    """The rows of some sites."""

    def __init__(self, sites: Sequence[Site]) -> None:
        self.sites = {site.pk: site for site in sites}

    @cached_property
    def hosts(self) -> list[str]:
        """The host names that no owner reads."""
        named = Place.objects.filter(site__in=self.sites).exclude(hostname="").order_by("name")
        return list(named.values_list("hostname", flat=True))

    @cached_property
    def things(self) -> list[Thing]:
        """The equipment."""
        # No iterator: PostgreSQL plans its cursor for the first rows, and then reads every item of the register.
        return [Thing(*row) for row in self._items().union(self._loudspeakers(), all=True)]

    def _items(self) -> QuerySet[Any]:
        now = FilteredRelation("placements", condition=Q(placements__current=True))
        kept = Item.objects.filter(site__in=self.sites).exclude(status=Status.REMOVED).annotate(now=now).order_by()
        about = ("site", "pk", "tag", "mac", "status", "warranty_until")
        at = ("now__place", "now__place__name", "now__place__rack__name")
        return kept.values_list(*about, *at, *MODEL).annotate(first=Min("placements__installed_on"), pieces=Value(1))

    def _loudspeakers(self) -> QuerySet[Any]:
        kept = Loudspeaker.objects.filter(site__in=self.sites).order_by()
        about = ("site", NO_NUMBER, NO_WORDS, NO_WORDS, NO_WORDS, NO_DAY)
        at = (NO_NUMBER, "zone__name", NO_WORDS)
        return kept.values_list(*about, *at, *MODEL).annotate(first=NO_DAY, pieces=Count("pk"))

    @cached_property
    def visits(self) -> list[Visit]:
        """The visits, the newest first."""
        return list(Visit.objects.filter(site__in=self.sites))

    @cached_property
    def findings(self) -> list[Finding]:
        """The findings that are for the owner, closed ones too."""
        told = Finding.objects.filter(site__in=self.sites, internal=False)
        return list(told.select_related("site", "place", "line", "zone"))

    @cached_property
    def baselines(self) -> list[Baseline]:
        """The baselines, but only each site's newest with its content: the others are large, and only named."""
        newest = Baseline.objects.filter(site=OuterRef("site")).order_by("-number").values("pk")[:1]
        content = Case(When(pk=Subquery(newest), then="content"))
        found = list(Baseline.objects.filter(site__in=self.sites).defer("content").annotate(agreed=content))
        for each in found:
            each.content = each.agreed
        return found

    @property
    def agreed(self) -> dict[int, Baseline]:
        """The newest baseline of each site, by the site's id."""
        return {each.site_id: each for each in self.baselines if each.content is not None}
