"""What the page of a call shows, fetched with a constant number of queries."""

from typing import Any

from django.urls import reverse

from registry.audio.models import Zone
from registry.audio.queries import lines_visible_to, loudspeakers_visible_to, zones_visible_to
from registry.planning.measuring import excluded_at
from registry.planning.sequence import Subject
from registry.visits.calling import changes_of
from registry.visits.models import ServiceCall
from registry.visits.proving import proofs, untested_replacements
from registry.visits.remedies import SPLITTING
from registry.visits.sayings import WORDS, changes_in, proposals, said_in
from registry.visits.suspecting import Suspicion, suspicion_of
from registry.web.calls.before import before_driving
from registry.web.calls.forms import CallImpedanceForm, CallLevelForm, where_choices
from registry.web.crumbs import Crumbs, site_crumbs
from sites.models import User

SHARED = ("meter", "meter_class", "track")


def call_crumbs(call: ServiceCall) -> Crumbs:
    """Return the way down to a call."""
    return [*site_crumbs(call.site), (f"Call of {_day(call)}", reverse("call", args=[call.pk]))]


def _day(call: ServiceCall) -> str:
    local = call.called_at.astimezone(call.site.zone_info)
    return f"{local.day} {local:%b %Y}"


def call_page(user: User, call: ServiceCall, refused: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return the context of a call's page for somebody who works with it."""
    part = call_part(user, call, refused)
    suspicion: Suspicion = part["suspicion"]
    return {
        **part,
        **before_driving(user, call, suspicion.known.baseline),
        "proofs": proofs(call, suspicion.known.baseline, part["concerned"]),
        "untested": untested_replacements(call),
        "notes": list(call.notes.select_related("written_by")),
    }


def call_part(user: User, call: ServiceCall, refused: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return the part that every answer changes: what is said, what may be wrong, what to ask and read next."""
    zones = list(zones_visible_to(user).filter(site=call.site_id).order_by("name"))
    names = [zone.name for zone in zones]
    labels = loudspeakers_visible_to(user).filter(site=call.site_id).order_by("label").values_list("label", flat=True)
    concerned = list(call.zones.select_related("site").order_by("name"))
    said, changed = said_in(call.symptoms), changes_of(call)
    suspicion = suspicion_of(call)
    told = proposals(call.says, names, about=[zone.name for zone in concerned])
    heard = {each.zone for each in said}
    return {
        "call": call,
        "site": call.site,
        "concerned": concerned,
        "said": said,
        "proposed": [each for each in told if each.said.zone not in heard] if call.is_open else [],
        "changes": [each for each in changes_in(call.says, call.since) if each[0] not in changed],
        "suspicion": suspicion,
        "splitting": SPLITTING,
        "kinds": list(WORDS.items()),
        "where_choices": where_choices(names, list(labels)),
        **(_reading_forms(user, call, suspicion, zones, refused or {}) if call.is_open else {}),
    }


def _reading_forms(
    user: User, call: ServiceCall, suspicion: Suspicion, zones: list[Zone], refused: dict[str, Any]
) -> dict[str, Any]:
    excluded = excluded_at(call.site)
    lines = lines_visible_to(user).filter(site=call.site_id).order_by("name")
    free = lines.exclude(pk__in=[pk for subject, pk in excluded if subject == Subject.LINE])
    asked = suspicion.next_reading
    first = {zone.name: zone.pk for zone in zones}.get(asked.where) if asked and asked.what == "level" else None
    frozen = suspicion.known.content["zones"].get(asked.where if asked and first else "", {})
    initial = {"zone": first} | {name: frozen.get(name) or "" for name in SHARED}
    level = refused.get("level") or CallLevelForm(
        zones=zones_visible_to(user).filter(site=call.site_id).order_by("name"), initial=initial, auto_id="level-%s"
    )
    line = free.filter(name=asked.where).first() if asked and asked.what == "impedance" else None
    impedance = refused.get("impedance") or CallImpedanceForm(
        lines=free, initial={"line": line and line.pk, "frequency_hz": 1000.0}, auto_id="impedance-%s"
    )
    return {"level": level, "impedance": impedance, "can_measure": bool(free), "refused": bool(refused)}
