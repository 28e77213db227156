"""Writes of clients, sites, spaces and racks. Keys: clients (name,), sites (code,), the rest (site_id, name)."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import transaction

from sites.models import Client, Rack, Site, Space, User
from sites.put import Batch, Key, put, refuse
from sites.secret_scan import refuse_secrets
from sites.versions import check_version

Rows = Mapping[Key, Mapping[str, Any]]


@transaction.atomic
def put_clients(batch: Batch, rows: Rows) -> dict[Key, Client]:
    """Create or update clients by name."""
    names = [key[0] for key in rows]
    return put(batch, Client, rows, {(client.name,): client for client in Client.objects.filter(name__in=names)})


@transaction.atomic
def put_sites(batch: Batch, rows: Rows) -> dict[Key, Site]:
    """Create or update sites by code. A site keeps its client: its history would change owner with it."""
    refuse_secrets("site", rows, "access_notes")
    codes = [key[0] for key in rows]
    existing = {(site.code,): site for site in Site.objects.filter(code__in=codes).select_related("client")}
    for key, values in rows.items():
        known = existing.get(key)
        if known and values["client_id"] != known.client_id:
            raise refuse("site", key, "client_id", f"site {known.code} belongs to {known.client}: choose another code")
    return put(batch, Site, rows, existing)


@transaction.atomic
def put_spaces(batch: Batch, rows: Rows) -> dict[Key, Space]:
    """Create or update spaces by site and name."""
    refuse_secrets("space", rows, "notes")
    spaces = Space.objects.filter(site_id__in=site_ids(rows))
    return put(batch, Space, rows, {(space.site_id, space.name): space for space in spaces})


@transaction.atomic
def put_racks(batch: Batch, rows: Rows) -> dict[Key, Rack]:
    """Create or update racks by site and name; a rack can't become lower than what is mounted in it."""
    existing = {(rack.site_id, rack.name): rack for rack in Rack.objects.filter(site_id__in=site_ids(rows))}
    shrinking = {
        rack.pk: key
        for key, rack in existing.items()
        if key in rows and (rows[key].get("height_u") or rack.height_u) < rack.height_u
    }
    for rack in Rack.objects.filter(pk__in=shrinking).prefetch_related("occupied_units"):
        top = max((unit.unit for unit in rack.occupied_units.all()), default=0)
        key = shrinking[rack.pk]
        if rows[key]["height_u"] < top:
            raise refuse("rack", key, "height_u", f"equipment is mounted up to unit {top}: move it first")
    return put(batch, Rack, rows, existing)


def site_ids(rows: Iterable[Key]) -> set[Any]:
    """Return the first part of every key: the site that a row belongs to."""
    return {key[0] for key in rows}


@transaction.atomic
def save_site(*, by: User, site: Site, values: Mapping[str, Any], version: str | None = None) -> Site:
    """Change one site from a form: what the form leaves empty is cleared."""
    check_version(site, version, values)
    key: Key = (site.code,)
    refuse_secrets("site", {key: values}, "access_notes")
    return put(Batch(by=by, blank_clears=True), Site, {key: values}, {key: site})[key]
