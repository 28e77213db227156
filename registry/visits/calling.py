"""Writes of service calls: taken, corrected, what is said and read, the visit that is sent, notes, and the end."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import transaction

from registry.audio.models import Loudspeaker, Zone
from registry.visits.models import CallNote, ServiceCall
from registry.visits.remedies import CHANGES
from registry.visits.sayings import KINDS, Said, said_in
from registry.visits.suspecting import suspicion_of
from registry.visits.under_way import clock, happened
from sites.models import Site, User
from sites.put import Problem, RefusedError, refuse
from sites.secret_scan import refuse_secrets
from sites.versions import check_version

Values = Mapping[str, Any]
TOLD = ("caller", "phone", "says", "since", "changed")
ENDED = ("mechanism", "cause", "caused_by", "was", "minutes", "record_would_have_saved", "restored_at")
MUST_SAY = {
    "was": "Say what it was, in plain words: the owner reads it.",
    "mechanism": "Say how it failed; no fault found and unknown are answers too.",
    "cause": "Say why; unknown is an answer too.",
    "caused_by": "Say who or what brought it about; unknown is an answer too.",
    "record_would_have_saved": "Say whether the record would have saved the trip; unknown is an answer too.",
}
MOST_MINUTES = 6000
BETWEEN: Final = "; "  # what changed before is kept in one text


@transaction.atomic
def take_call(
    *,
    by: User,
    site: Site,
    values: Values,
    called_at: datetime | None = None,
    zones: Iterable[Zone] = (),
    said: Iterable[Said] = (),
    answered_at: datetime | None = None,
) -> ServiceCall:
    """Take a call: `caller`, `phone`, `says`, `since`, `changed`. `answered_at`: when somebody spoke with the caller.

    Raises ValueError when nothing is said, the time is still to come, or a zone is of another site.
    """
    call = ServiceCall(site=site, called_at=happened(called_at or answered_at), taken_by=by)
    call.answered_at = None if answered_at is None else _not_before(call, happened(answered_at), "answered")
    call.symptoms = [each._asdict() for each in _known(site, said)]
    return _written(call, values, by, zones=zones)


@transaction.atomic
def edit_call(
    *, by: User, call: ServiceCall, values: Values, zones: Iterable[Zone], version: str | None = None
) -> ServiceCall:
    """Correct who called and what they said; ValueError when the call is closed or somebody else changed the same."""
    call = open_call(call)
    check_version(call, version, values)
    return _written(call, values, by, zones=zones)


def _written(call: ServiceCall, values: Values, by: User, *, zones: Iterable[Zone]) -> ServiceCall:
    zones = list(zones)
    for name in TOLD:
        setattr(call, name, str(values.get(name, getattr(call, name)) or "").strip())
    if not call.says:
        raise refuse("call", (call.pk,), "says", "Write what the caller says, in their own words.")
    refuse_secrets("call", {(call.pk,): {"says": call.says}}, "says")
    if elsewhere := [zone.name for zone in zones if zone.site_id != call.site_id]:
        raise refuse("call", (call.pk,), "zones", f"{elsewhere[0]} is a zone of another site.")
    saved_call(call, by)
    if {zone.pk for zone in zones} != set(call.zones.values_list("pk", flat=True)):
        call.zones.set(zones)
    return call


@transaction.atomic
def say(*, by: User, call: ServiceCall, said: Said) -> ServiceCall:
    """Add what is said of a zone, a loudspeaker or the site; of a zone the last word counts. The same changes nothing.

    Raises ValueError when the call is closed or the site has no such zone or loudspeaker.
    """
    call = open_call(call)
    _known(call.site, [said])
    before = said_in(call.symptoms)
    if said in before:
        return call
    kept = [each for each in before if each[1:] != said[1:]]
    call.symptoms = [each._asdict() for each in (*kept, said)]
    return saved_call(call, by)


@transaction.atomic
def unsay(*, by: User, call: ServiceCall, said: Said) -> ServiceCall:
    """Take back what was said; what is not there is gone already."""
    call = open_call(call)
    kept = [each._asdict() for each in said_in(call.symptoms) if each != said]
    if len(kept) == len(call.symptoms):
        return call
    call.symptoms = kept
    return saved_call(call, by)


@transaction.atomic
def note_change(*, by: User, call: ServiceCall, change: str) -> ServiceCall:
    """Add to what changed before the call, one of CHANGES; the same changes nothing."""
    call = open_call(call)
    if change not in CHANGES:
        raise refuse("call", (call.pk,), "changed", f"{change!r} is not on the list: type it on the call's Edit page.")
    told = changes_of(call)
    if change in told:
        return call
    call.changed = BETWEEN.join([change, *told])
    return saved_call(call, by)


def changes_of(call: ServiceCall) -> list[str]:
    """Return what changed before, one by one."""
    return [each for each in call.changed.split(BETWEEN) if each]


def _known(site: Site, said: Iterable[Said]) -> list[Said]:
    said = list(dict.fromkeys(said))
    zones = set(Zone.objects.filter(site=site).values_list("name", flat=True))
    labels = {each.loudspeaker for each in said if each.loudspeaker}
    labels -= set(Loudspeaker.objects.filter(site=site, label__in=labels).values_list("label", flat=True))
    for each in said:
        if each.kind not in KINDS:
            raise refuse("call", (site.pk,), "kind", f"{each.kind!r} is no symptom: choose from the list.")
        if each.zone and each.loudspeaker:
            raise refuse("call", (site.pk,), "where", "Say it of a zone or of a loudspeaker, not of both.")
        if (each.zone and each.zone not in zones) or each.loudspeaker in labels:
            raise refuse("call", (site.pk,), "where", f"{each.where} is not at {site}: choose from the list.")
    return said


@transaction.atomic
def answer_call(*, by: User, call: ServiceCall, at: datetime | None = None) -> ServiceCall:
    """Note that somebody has spoken with the caller; the first time counts."""
    call = open_call(call)
    if call.answered_at is not None:
        return call
    call.answered_at = _not_before(call, happened(at), "answered_at")
    return saved_call(call, by)


@transaction.atomic
def close_call(
    *, by: User, call: ServiceCall, values: Values, version: str | None = None, at: datetime | None = None
) -> ServiceCall:
    """Close a call with what it was, in the columns `ENDED`. What was suspected is kept as it stands now.

    Raises ValueError when it is closed already (by whom and when), its visit is still open, or something isn't said.
    """
    call = open_call(call)
    check_version(call, version, values)
    if call.visit is not None and call.visit.is_open:
        raise ValueError(f"the visit of this call ({call.visit.title}) is still open: close it first, or call it off")
    for name in ENDED:
        value = values.get(name, getattr(call, name))
        setattr(call, name, value.strip() if isinstance(value, str) else value)
    if problems := list(_missing(call)):
        raise RefusedError([Problem("call", (call.pk,), name, says) for name, says in problems])
    if call.restored_at is not None:
        call.restored_at = _not_before(call, happened(call.restored_at), "restored_at")
    call.closed_at, call.closed_by = happened(at), by
    call.answered_at = call.answered_at or call.closed_at
    call.suspects = suspicion_of(call).rows()
    return saved_call(call, by)


def _missing(call: ServiceCall) -> Iterable[tuple[str, str]]:
    for name, says in MUST_SAY.items():
        if not getattr(call, name):
            yield name, says
    if call.minutes is not None and not 0 <= call.minutes <= MOST_MINUTES:
        yield "minutes", f"Give at most {MOST_MINUTES} minutes."


def _not_before(call: ServiceCall, at: datetime, name: str) -> datetime:
    # Clocks on forms show minutes.
    if at < call.called_at.replace(second=0, microsecond=0):
        raise refuse("call", (call.pk,), name, f"That is before the call came in ({clock(call.site, call.called_at)}).")
    return max(at, call.called_at)


@transaction.atomic
def note_call(*, by: User, call: ServiceCall, says: str, at: datetime | None = None) -> CallNote:
    """Note what was said or became known; this is also how something is added to a closed call."""
    text = says.strip()
    if not text:
        raise refuse("note", (call.pk,), "says", "Write the note.")
    refuse_secrets("note", {(call.pk,): {"says": text}}, "says")
    if len(text) > 2000:
        raise refuse("note", (call.pk,), "says", "Make it shorter: at most 2000 characters.")
    return CallNote.objects.create(call=call, says=text, written_by=by, written_at=happened(at))


def open_call(call: ServiceCall) -> ServiceCall:
    """Return the call, locked; a closed one stays as it is."""
    rows = ServiceCall.objects.select_for_update(of=("self",)).select_related("site", "closed_by", "visit")
    found = rows.get(pk=call.pk)
    if found.closed_at is not None:
        when = clock(found.site, found.closed_at)
        raise ValueError(f"{found.closed_by} closed this call on {when}: it stays as it is, add a note instead")
    return found


def saved_call(call: ServiceCall, by: User) -> ServiceCall:
    """Save a call; its history says who."""
    call._history_user = by  # type: ignore[attr-defined]
    try:
        call.clean_fields(exclude=["site", "visit", "taken_by", "closed_by"])
    except ValidationError as error:
        said = [Problem("call", (call.pk,), name, " ".join(says)) for name, says in error.message_dict.items()]
        raise RefusedError(said) from error
    call.save()
    return call
