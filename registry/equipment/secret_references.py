"""Writes of where a secret is kept and who may ask for it; the secret itself is refused by the fields."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from registry.equipment.models import SecretReference
from sites.editing import refuse_taken
from sites.models import Site, User
from sites.put import Batch, Key, put
from sites.versions import check_version


@transaction.atomic
def save_reference(
    *,
    by: User | None,
    site: Site,
    reference: SecretReference | None,
    values: Mapping[str, Any],
    version: str | None = None,
) -> SecretReference:
    """Record where a secret is kept, or change it."""
    check_version(reference, version, values)
    others = SecretReference.objects.filter(site=site)
    refuse_taken(others.exclude(pk=reference.pk) if reference else others, "reference", "opens", values["opens"])
    key: Key = (site.pk, values["opens"])
    batch = Batch(by=by, blank_clears=reference is not None)
    return put(batch, SecretReference, {key: {**values, "site_id": site.pk}}, {key: reference} if reference else {})[
        key
    ]


@transaction.atomic
def remove_reference(*, by: User, reference: SecretReference) -> None:
    """Remove a reference to what is no longer there; its history stays."""
    reference._history_user = by  # type: ignore[attr-defined]
    reference.delete()
