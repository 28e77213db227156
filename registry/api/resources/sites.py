"""Sites, and how the zones of one stand against its baseline."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from registry.api.conditional import answered
from registry.api.fields import Choice, Reference
from registry.api.filters import IdFilter, TextFilter
from registry.api.rows import Row, change_of
from registry.api.views import Added, Changed
from registry.audio.models import Drift
from registry.audio.queries import zones_visible_to
from registry.baselines.drift import drifts_of
from sites.actions import save_site
from sites.editing import add_site
from sites.models import Site, User, YesNoUnknown, time_zones
from sites.queries import clients_visible_to, sites_visible_to
from sites.versions import version_of


class SiteRow(Row):
    """One address of a client."""

    client = Reference(clients_visible_to)
    time_zone = Choice(choices=sorted(time_zones()), help_text="An IANA time zone.")

    class Meta:
        """Everything."""

        model = Site
        fields = (
            "id", "client", "code", "name", "address", "time_zone", "units", "access_notes", "voice_alarm"
        )  # fmt: skip


class SiteFilter(django_filters.FilterSet):
    """By client, code and voice alarm."""

    client = IdFilter("client_id", label="Id of the client.")
    code = TextFilter("code", label="The exact short code.")
    voice_alarm = django_filters.ChoiceFilter(choices=YesNoUnknown.choices)


class ZoneDriftBody(serializers.Serializer[Any]):
    """How far a zone is from the baseline, and whether the meter could tell."""

    zone = serializers.IntegerField(min_value=1, help_text="The zone's id.")
    name = serializers.CharField()
    verdict = serializers.ChoiceField(choices=Drift.choices)
    level_db = serializers.FloatField(allow_null=True, help_text="The last reading, in dB(A).")
    baseline_db = serializers.FloatField(allow_null=True, help_text="The level in the baseline, in dB(A).")
    drift_db = serializers.FloatField(allow_null=True, help_text="The difference, in dB.")
    uncertainty_db = serializers.FloatField(allow_null=True, help_text="What these readings can't tell apart, in dB.")
    says = serializers.CharField(help_text="The same in words.")


class SiteDriftBody(serializers.Serializer[Any]):
    """The drift of every zone of a site."""

    site = serializers.IntegerField(min_value=1)
    zones = ZoneDriftBody(many=True)


class Sites(Added, Changed):
    """Sites: the addresses of clients."""

    serializer_class = SiteRow
    change_serializer_class = change_of(SiteRow, "client")
    filterset_class = SiteFilter
    search_fields = ("name", "code", "address")
    orders = ("name", "code", "id")

    def rows(self, user: User) -> QuerySet[Site]:
        """Return the reader's sites."""
        return sites_visible_to(user)

    def add(self, by: User, values: dict[str, Any]) -> Site:
        """Record a site of a client."""
        client = values.pop("client")
        return add_site(by=by, client=client, values=values)

    def change(self, by: User, row: Site, values: dict[str, Any]) -> Site:
        """Change a site; it stays with its client."""
        return save_site(by=by, site=row, values=values, version=version_of(row))

    @extend_schema(responses=SiteDriftBody)
    @action(detail=True, methods=["get"])
    def drift(self, request: Request, pk: str) -> Response:
        """Compare the last readings of a site with its newest baseline."""
        site = self.get_object()
        zones = list(zones_visible_to(site_reader(request)).filter(site=site).order_by("name"))
        drifts = drifts_of(zones)
        rows = [{"zone": zone.pk, "name": zone.name} | drifts[zone.pk]._asdict() for zone in zones]
        return answered(request, SiteDriftBody({"site": site.pk, "zones": rows}).data)


def site_reader(request: Request) -> User:
    """Return who is asking; the permission let nobody else in."""
    assert isinstance(request.user, User)
    return request.user
