"""Is it back: the levels of a call's zones against the baseline, and the power-cut tests that are still to do."""

from dataclasses import dataclass

from django.db.models import Q

from registry.audio.models import Zone
from registry.baselines.judged import Judged, judged
from registry.baselines.models import Baseline, Reading
from registry.baselines.proof import Proof, proof_of
from registry.baselines.snapshot import POWER_CUT_KEY
from registry.equipment.models import Kind, Place, Placement, Setting, State
from registry.visits.models import ServiceCall

ELECTRONICS = (Kind.AMPLIFIER, Kind.ENDPOINT, Kind.SOURCE)


@dataclass(frozen=True, slots=True)
class ZoneProof:
    """A zone as it was found and left since the call, and what that proves."""

    zone: Zone
    found: Judged | None
    left: Judged | None
    proof: Proof | None

    @property
    def ident(self) -> str:
        """A word for the ids of its drawings."""
        return f"zone-{self.zone.pk}"

    @property
    def last(self) -> Judged | None:
        """How it stands now."""
        return self.left or self.found


def proofs(call: ServiceCall, baseline: Baseline | None, zones: list[Zone]) -> list[ZoneProof]:
    """Return the zones of a call, and others that were read since, by name. One query."""
    rows = Reading.objects.filter(zone__site=call.site_id, taken_at__gte=call.called_at, correction__isnull=True)
    if call.closed_at is not None:
        rows = rows.filter(taken_at__lte=call.closed_at)
    readings = {(row.zone_id, row.state): row for row in rows.select_related("zone__site").order_by("taken_at", "pk")}
    wanted = {zone.pk: zone for zone in zones} | {row.zone_id: row.zone for row in readings.values()}
    frozen = baseline.content["zones"] if baseline else {}
    found = []
    for zone in sorted(wanted.values(), key=lambda each: each.name):
        before, after = (readings.get((zone.pk, state)) for state in (State.AS_FOUND, State.AS_LEFT))
        entry, last = frozen.get(zone.name), after or before
        proof = proof_of(last, entry, zone.tolerance_db) if last is not None else None
        found.append(ZoneProof(zone, judged(zone, entry, before), judged(zone, entry, after), proof))
    return found


def untested_replacements(call: ServiceCall) -> list[Place]:
    """Return the places whose electronics were replaced since the call and whose power-cut test isn't recorded since.

    Two queries.
    """
    since = call.called_at.astimezone(call.site.zone_info).date()
    fitted = Placement.objects.filter(
        Q(installed_on__gte=since), place__site=call.site_id, current=True, item__make_model__kind__in=ELECTRONICS
    )
    places = {row.place_id: row.place for row in fitted.select_related("place").order_by("place__name")}
    tests = Setting.objects.filter(
        record__place__in=places, record__taken_at__gte=call.called_at, key=POWER_CUT_KEY
    ).exclude(value="")
    tested = set(tests.values_list("record__place", flat=True))
    return [place for pk, place in places.items() if pk not in tested]
