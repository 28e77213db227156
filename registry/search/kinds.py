"""What can be found: one declaration for each kind. After a change here, `manage.py reindex` makes the index anew."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db.models import Model, QuerySet
from django.utils.text import Truncator

from registry.audio.models import Line, Loudspeaker, Zone
from registry.audio.queries import lines_visible_to, loudspeakers_visible_to, zones_visible_to
from registry.equipment.document_queries import current_documents
from registry.equipment.models import Document, Item, MakeModel, Place
from registry.equipment.queries import items_visible_to, models_visible_to, places_visible_to
from registry.visits.models import Finding, ServiceCall, Visit
from registry.visits.queries import calls_visible_to, findings_visible_to, visits_visible_to
from sites.models import Client, Rack, Site, User
from sites.queries import clients_visible_to, racks_visible_to, sites_visible_to


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of thing: the columns that are looked in, who may see it, and how it is shown.

    `codes` are also found without the signs between their letters and digits. Only the row's own columns: whatever
    hangs on another row would not follow it. `page` and `address` name the page of a row and what stands in its
    address.
    """

    name: str
    heading: str
    model: type[Model]
    names: Sequence[str] = ()
    codes: Sequence[str] = ()
    visible_to: Callable[[User], QuerySet[Any]]
    page: str
    address: Callable[[Any], Any] = field(default=lambda row: row.pk)
    title: Callable[[Any], str] = field(default=str)
    site: Callable[[Any], Site | None] = field(default=lambda row: row.site)
    detail: Callable[[Any], str] = field(default=lambda row: "")


def _listed(*parts: object) -> str:
    return ", ".join(str(part) for part in parts if part)


def _day(site: Site, at: datetime) -> str:
    there = at.astimezone(site.zone_info)
    return f"{there.day} {there:%b %Y}"


def _visit_ended(visit: Visit) -> str:
    return "called off" if visit.called_off_because else visit.get_outcome_display().lower() or "open"


# In this order where they fit equally well.
KINDS = (
    Kind(
        name="client",
        heading="Clients",
        model=Client,
        names=("name", "contact"),
        visible_to=clients_visible_to,
        page="client",
        site=lambda client: None,
        detail=lambda client: client.contact,
    ),
    Kind(
        name="site",
        heading="Sites",
        model=Site,
        names=("name", "address"),
        codes=("code",),
        visible_to=sites_visible_to,
        page="site",
        address=lambda site: site.code,
        site=lambda site: None,
        detail=lambda site: _listed(site.code, site.client),
    ),
    Kind(
        name="item",
        heading="Items",
        model=Item,
        codes=("tag", "serial", "mac"),
        visible_to=items_visible_to,
        page="item",
        detail=lambda item: _listed(item.make_model, item.serial and f"serial {item.serial}", item.mac),
    ),
    Kind(
        name="place",
        heading="Places",
        model=Place,
        names=("name", "ip"),
        codes=("hostname",),
        visible_to=places_visible_to,
        page="place",
        detail=lambda place: _listed(place.ip, place.hostname),
    ),
    Kind(
        name="zone",
        heading="Zones",
        model=Zone,
        names=("name", "spot"),
        visible_to=zones_visible_to,
        page="zone",
        detail=lambda zone: zone.spot,
    ),
    Kind(
        name="line",
        heading="Lines",
        model=Line,
        names=("name",),
        visible_to=lines_visible_to,
        page="line",
        detail=lambda line: f"{line.amplifier}, channel {line.channel}",
    ),
    Kind(
        name="rack",
        heading="Racks",
        model=Rack,
        names=("name",),
        visible_to=racks_visible_to,
        page="rack",
        detail=lambda rack: _listed(rack.space),
    ),
    Kind(
        name="loudspeaker",
        heading="Loudspeakers",
        model=Loudspeaker,
        codes=("label",),
        visible_to=loudspeakers_visible_to,
        page="zone",
        address=lambda unit: unit.zone_id,
        detail=lambda unit: f"zone {unit.zone}",
    ),
    Kind(
        name="model",
        heading="Models",
        model=MakeModel,
        codes=("name",),
        visible_to=models_visible_to,
        page="model",
        site=lambda model: None,
        detail=lambda model: model.get_kind_display(),
    ),
    Kind(
        name="document",
        heading="Documents",
        model=Document,
        names=("title",),
        codes=("name",),
        visible_to=current_documents,
        page="site-documents",
        address=lambda document: document.site.code,
        detail=lambda document: _listed(document.get_kind_display(), document.place, document.name),
    ),
    Kind(
        name="finding",
        heading="Findings",
        model=Finding,
        names=("says", "done"),
        visible_to=findings_visible_to,
        page="finding",
        title=lambda finding: Truncator(finding.says).chars(80),
        detail=lambda finding: _listed(
            finding.get_severity_display(),
            finding.about,
            _day(finding.site, finding.found_at),
            f"done: {finding.done}" if finding.done else "open",
        ),
    ),
    Kind(
        name="visit",
        heading="Visits",
        model=Visit,
        names=("title", "result"),
        visible_to=visits_visible_to,
        page="visit",
        title=lambda visit: visit.title,
        detail=lambda visit: _listed(_day(visit.site, visit.starts_at), visit.tech, _visit_ended(visit)),
    ),
    # Nothing that owners don't read of a call: they would find it by what they aren't shown.
    Kind(
        name="call",
        heading="Service calls",
        model=ServiceCall,
        names=("says", "was"),
        visible_to=calls_visible_to,
        page="call",
        title=lambda call: f"Call of {_day(call.site, call.called_at)}",
        detail=lambda call: _listed(
            f"“{Truncator(call.says).chars(80)}”", f"it was: {call.was}" if call.was else "open"
        ),
    ),
)
