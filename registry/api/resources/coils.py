"""Loudspeakers, and the coils of them that hang on lines."""

from typing import Any

from django.db.models import QuerySet

from registry.api.fields import Reference, Text, Whole
from registry.api.filters import IdFilter, OfSite
from registry.api.rows import Row, change_of
from registry.api.views import Added, Removed
from registry.audio.adding import add_loudspeaker
from registry.audio.editing import connect_coil, disconnect_coil, rewire_coil
from registry.audio.models import Coil, Loudspeaker
from registry.audio.queries import coils_visible_to, lines_visible_to, loudspeakers_visible_to, zones_visible_to
from registry.engineering.units import read_cable_size
from registry.equipment.queries import models_visible_to
from sites.models import User
from sites.put import refuse
from sites.queries import sites_visible_to
from sites.versions import version_of


class LoudspeakerRow(Row):
    """A driver or cabinet, known by its label."""

    site = Reference(sites_visible_to)
    zone = Reference(zones_visible_to)
    make_model = Reference(models_visible_to, required=False, allow_null=True)

    class Meta:
        """Everything."""

        model = Loudspeaker
        fields = ("id", "site", "label", "make_model", "zone")


class LoudspeakerFilter(OfSite):
    """By zone and model too."""

    zone = IdFilter("zone_id", label="Id of the zone.")
    make_model = IdFilter("make_model_id", label="Id of the model.")


class Loudspeakers(Added):
    """Loudspeakers: drivers and cabinets."""

    serializer_class = LoudspeakerRow
    filterset_class = LoudspeakerFilter
    search_fields = ("label",)
    orders = ("label", "id")

    def rows(self, user: User) -> QuerySet[Loudspeaker]:
        """Return the loudspeakers at the reader's sites."""
        return loudspeakers_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Loudspeaker:
        """Record a loudspeaker; connect its coils next."""
        return add_loudspeaker(by=by, **{"make_model": None, **values})


class CoilRow(Row):
    """One electrical input of a loudspeaker, connected to a line, with the piece of cable that feeds it."""

    loudspeaker = Reference(loudspeakers_visible_to)
    line = Reference(lines_visible_to)
    order = Whole(min_value=1, max_value=32767, help_text="Counted from the amplifier, from 1.")
    cable = Text(
        max_length=20, required=False, allow_blank=True, help_text="Two conductors, for example 18 AWG or 1.5 mm2."
    )

    class Meta:
        """Everything."""

        model = Coil
        fields = (
            "id", "loudspeaker", "coil", "line", "string", "order", "tap_w", "cable", "cable_m", "plus", "minus"
        )  # fmt: skip

    def values(self) -> dict[str, Any]:
        """Return the row with its references by id, and the cable's size as the register spells it."""
        values = {"coil": "1"} | super().values()
        values |= {f"{name}_id": values.pop(name).pk for name in ("loudspeaker", "line") if name in values}
        if values.get("cable"):
            try:
                values["cable"] = read_cable_size(values["cable"])
            except ValueError as error:
                raise refuse("coil", (), "cable", str(error)) from error
        return values


class CoilChange(change_of(CoilRow, "loudspeaker")):  # type: ignore[misc]
    """A coil stays a coil of its loudspeaker."""

    class Meta(CoilRow.Meta):
        """Whose coil it is can't be sent."""

        read_only_fields = ("coil",)

    def values(self) -> dict[str, Any]:
        """Return what may change."""
        values: dict[str, Any] = super().values()
        return {name: value for name, value in values.items() if name != "coil"}


class CoilFilter(OfSite):
    """By line, loudspeaker and zone too."""

    site = IdFilter("line__site_id", label="Id of the site.")
    client = IdFilter("line__site__client_id", label="Id of the client.")
    line = IdFilter("line_id", label="Id of the line.")
    loudspeaker = IdFilter("loudspeaker_id", label="Id of the loudspeaker.")
    zone = IdFilter("loudspeaker__zone_id", label="Id of the zone.")


class Coils(Added, Removed):
    """Coils on lines. Removing one disconnects it; the loudspeaker and the coil's history stay."""

    serializer_class = CoilRow
    change_serializer_class = CoilChange
    filterset_class = CoilFilter
    search_fields = ("loudspeaker__label", "string")
    orders = ("id",)

    def rows(self, user: User) -> QuerySet[Coil]:
        """Return the coils on lines at the reader's sites."""
        return coils_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Coil:
        """Connect a coil to a line."""
        line = lines_visible_to(by).get(pk=values.pop("line_id"))
        return connect_coil(by=by, line=line, values=values)

    def change(self, by: User, row: Coil, values: dict[str, Any]) -> Coil:
        """Rewire a coil; the loads of both lines are judged anew."""
        return rewire_coil(by=by, coil=row, values=values, version=version_of(row))

    def remove(self, by: User, row: Coil) -> None:
        """Disconnect it."""
        disconnect_coil(by=by, coil=row, version=version_of(row))
