"""Spaces and racks."""

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import QuerySet

from registry.api.fields import Reference, Whole
from registry.api.filters import OfSite
from registry.api.rows import Row, change_of
from registry.api.views import Added, Changed
from sites.editing import add_rack, add_space, save_rack, save_space
from sites.models import Rack, Space, User
from sites.queries import racks_visible_to, sites_visible_to, spaces_visible_to
from sites.versions import version_of


class SpaceRow(Row):
    """A room or outdoor area of a site."""

    site = Reference(sites_visible_to)

    class Meta:
        """Everything."""

        model = Space
        fields = ("id", "site", "name", "ceiling_m", "listener_height_m", "area_m2", "use", "notes")


class Spaces(Added, Changed):
    """Spaces: rooms and outdoor areas."""

    serializer_class = SpaceRow
    change_serializer_class = change_of(SpaceRow, "site")
    filterset_class = OfSite
    search_fields = ("name", "use")
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[Space]:
        """Return the spaces at the reader's sites."""
        return spaces_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Space:
        """Record a space."""
        site = values.pop("site")
        return add_space(by=by, site=site, values=values)

    def change(self, by: User, row: Space, values: dict[str, Any]) -> Space:
        """Change a space."""
        return save_space(by=by, space=row, values=values, version=version_of(row))


class RackRow(Row):
    """An enclosure and its limits."""

    site = Reference(sites_visible_to)
    space = Reference(spaces_visible_to, required=False, allow_null=True)
    height_u = Whole(
        min_value=1, max_value=60, help_text="In rack units of 44.45 mm (IEC 60297-3-100).",
        validators=[MinValueValidator(1), MaxValueValidator(60)],
    )  # fmt: skip

    class Meta:
        """Everything."""

        model = Rack
        fields = (
            "id", "site", "name", "space", "height_u", "max_load_kg", "circuit_v", "circuit_a", "ups_va", "ups_w",
            "ups_wh",
        )  # fmt: skip


class Racks(Added, Changed):
    """Racks, with the limits of their shelf, circuit and UPS."""

    serializer_class = RackRow
    change_serializer_class = change_of(RackRow, "site")
    filterset_class = OfSite
    search_fields = ("name",)
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[Rack]:
        """Return the racks at the reader's sites."""
        return racks_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Rack:
        """Record a rack."""
        site = values.pop("site")
        return add_rack(by=by, site=site, values=values)

    def change(self, by: User, row: Rack, values: dict[str, Any]) -> Rack:
        """Change a rack."""
        return save_rack(by=by, rack=row, values=values, version=version_of(row))
