"""Lines with their load, the loudspeakers of a site, and the coils that hang on lines."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from registry.api.fields import Reference
from registry.api.filters import IdFilter, OfSite
from registry.api.rows import Row, change_of
from registry.api.views import Added, Changed
from registry.audio.adding import add_line
from registry.audio.editing import save_line
from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Line, LineKind, Verdict
from registry.audio.queries import lines_visible_to
from registry.equipment.queries import places_visible_to
from sites.models import User, YesNoUnknown
from sites.queries import sites_visible_to
from sites.versions import version_of


class CheckBody(serializers.Serializer[Any]):
    """One check of a line."""

    verdict = serializers.ChoiceField(choices=Verdict.choices)
    says = serializers.CharField()


class LoadBody(serializers.Serializer[Any]):
    """What a line presents to its channel; null is what can't be known."""

    impedance_ohm = serializers.FloatField(allow_null=True, help_text="What the channel sees, cable included.")
    channel_minimum_ohm = serializers.FloatField(allow_null=True, help_text="The lowest load that the channel allows.")
    power_w = serializers.FloatField(allow_null=True, help_text="What the channel delivers at full output.")
    channel_power_w = serializers.FloatField(allow_null=True, help_text="What the channel is rated for.")
    checks = CheckBody(many=True)


class LineRow(Row):
    """Everything that is wired to one channel."""

    site = Reference(sites_visible_to)
    amplifier = Reference(places_visible_to, help_text="The place of the amplifier.")
    load = serializers.SerializerMethodField()

    class Meta:
        """Everything; whether a line is life-safety related is for a manager to say, on its page."""

        model = Line
        fields = ("id", "site", "name", "amplifier", "channel", "kind", "life_safety", "verdict", "says", "load")
        read_only_fields = ("life_safety", "verdict", "says")

    @extend_schema_field(LoadBody(allow_null=True))
    def get_load(self, line: Line) -> Any:
        """What it presents to its channel; null when nothing is connected."""
        return LoadBody(load_of(line)).data if line.coils.all() else None


class LineFilter(OfSite):
    """By amplifier, kind, verdict and life safety too."""

    amplifier = IdFilter("amplifier_id", label="Id of the amplifier's place.")
    kind = django_filters.ChoiceFilter(choices=LineKind.choices)
    verdict = django_filters.ChoiceFilter(choices=Verdict.choices)
    life_safety = django_filters.ChoiceFilter(choices=YesNoUnknown.choices)


class Lines(Added, Changed):
    """Lines, each with its load. One that is or may be life-safety related can't be changed here."""

    serializer_class = LineRow
    change_serializer_class = change_of(LineRow, "site")
    filterset_class = LineFilter
    search_fields = ("name", "says")
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[Line]:
        """Return the lines at the reader's sites, with all that their load needs."""
        return with_wiring(lines_visible_to(user))

    def add(self, by: User, values: dict[str, Any]) -> Line:
        """Record a line on a channel that carries none."""
        site = values.pop("site")
        return add_line(by=by, site=site, values=_by_id(values))

    def change(self, by: User, row: Line, values: dict[str, Any]) -> Line:
        """Change a line; its load is judged anew."""
        return save_line(by=by, line=row, values=_by_id(values), version=version_of(row))


def _by_id(values: dict[str, Any]) -> dict[str, Any]:
    return values | {"amplifier_id": values.pop("amplifier").pk}
