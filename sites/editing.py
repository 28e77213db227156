"""Writes of one client, site, space or rack from a form: what the form leaves empty is cleared.

`version` is the one that the writer saw (sites.versions); without it nobody is asked.
"""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from sites.actions import put_racks
from sites.models import Client, Rack, Site, Space, User
from sites.put import Batch, Key, put, refuse
from sites.secret_scan import refuse_secrets
from sites.versions import check_version

Values = Mapping[str, Any]


@transaction.atomic
def add_client(*, by: User, values: Values) -> Client:
    """Record a new client."""
    refuse_taken(Client.objects.all(), "client", "name", values["name"])
    key: Key = (values["name"],)
    return put(Batch(by=by), Client, {key: values}, {})[key]


@transaction.atomic
def save_client(*, by: User, client: Client, values: Values, version: str | None = None) -> Client:
    """Change a client."""
    check_version(client, version, values)
    refuse_taken(Client.objects.exclude(pk=client.pk), "client", "name", values["name"])
    key: Key = (client.name,)
    return put(Batch(by=by, blank_clears=True), Client, {key: values}, {key: client})[key]


@transaction.atomic
def add_site(*, by: User, client: Client, values: Values) -> Site:
    """Record a new site of a client."""
    refuse_taken(Site.objects.all(), "site", "code", values["code"])
    key: Key = (values["code"],)
    refuse_secrets("site", {key: values}, "access_notes")
    return put(Batch(by=by), Site, {key: {**values, "client_id": client.pk}}, {})[key]


@transaction.atomic
def add_space(*, by: User, site: Site, values: Values) -> Space:
    """Record a new space of a site."""
    refuse_taken(Space.objects.filter(site=site), "space", "name", values["name"])
    key: Key = (site.pk, values["name"])
    refuse_secrets("space", {key: values}, "notes")
    return put(Batch(by=by), Space, {key: {**values, "site_id": site.pk}}, {})[key]


@transaction.atomic
def save_space(*, by: User, space: Space, values: Values, version: str | None = None) -> Space:
    """Change a space; it stays in its site."""
    check_version(space, version, values)
    refuse_taken(Space.objects.filter(site=space.site_id).exclude(pk=space.pk), "space", "name", values["name"])
    key: Key = (space.site_id, space.name)
    refuse_secrets("space", {key: values}, "notes")
    return put(Batch(by=by, blank_clears=True), Space, {key: values}, {key: space})[key]


@transaction.atomic
def add_rack(*, by: User, site: Site, values: Values) -> Rack:
    """Record a new rack of a site."""
    refuse_taken(Rack.objects.filter(site=site), "rack", "name", values["name"])
    refuse_other_site("rack", "space", values.get("space"), site.pk)
    key: Key = (site.pk, values["name"])
    return put_racks(Batch(by=by), {key: {**values, "site_id": site.pk}})[key]


@transaction.atomic
def save_rack(*, by: User, rack: Rack, values: Values, version: str | None = None) -> Rack:
    """Change a rack; it stays in its site and never becomes lower than what is mounted in it."""
    check_version(rack, version, values)
    refuse_taken(Rack.objects.filter(site=rack.site_id).exclude(pk=rack.pk), "rack", "name", values["name"])
    refuse_other_site("rack", "space", values.get("space"), rack.site_id)
    key: Key = (rack.site_id, rack.name)
    return put_racks(Batch(by=by, blank_clears=True), {key: values})[key]


def refuse_taken(others: QuerySet[Any], what: str, field: str, value: str) -> None:
    """Refuse a name that one of the others has."""
    if others.filter(**{field: value}).exists():
        raise refuse(what, (value,), field, f"there is already a {what} {value!r} here: choose another {field}")


def refuse_other_site(what: str, field: str, row: Any, site_id: int) -> None:
    """Refuse to refer to a row of another site; None refers to nothing."""
    if row is not None and row.site_id != site_id:
        raise refuse(
            what, (str(row),), field, f"{field.removesuffix('_id').replace('_', ' ')} {row} belongs to another site"
        )
