"""Writes of one zone from a form: its drift is judged again, because its tolerance may be another."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from registry.audio.actions import put_zones
from registry.audio.models import Zone
from registry.baselines.drift import refresh_drift
from sites.editing import refuse_other_site, refuse_taken
from sites.models import Site, User
from sites.put import Batch, Key
from sites.versions import check_version

Values = Mapping[str, Any]


@transaction.atomic
def add_zone(*, by: User, site: Site, values: Values) -> Zone:
    """Record a new zone of a site."""
    refuse_taken(Zone.objects.filter(site=site), "zone", "name", values["name"])
    refuse_other_site("zone", "space", values.get("space"), site.pk)
    key: Key = (site.pk, values["name"])
    return put_zones(Batch(by=by), {key: {**values, "site_id": site.pk}})[key]


@transaction.atomic
def save_zone(*, by: User, zone: Zone, values: Values, version: str | None = None) -> Zone:
    """Change a zone; it stays in its site."""
    check_version(zone, version, values)
    refuse_taken(Zone.objects.filter(site=zone.site_id).exclude(pk=zone.pk), "zone", "name", values["name"])
    refuse_other_site("zone", "space", values.get("space"), zone.site_id)
    key: Key = (zone.site_id, zone.name)
    written = put_zones(Batch(by=by, blank_clears=True), {key: values})[key]
    refresh_drift(Zone.objects.filter(pk=written.pk))
    return written
