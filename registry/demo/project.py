"""The garden centre's project: a fold plan rejected, one accepted, and a commissioning that was interrupted."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from registry.audio.models import Line
from registry.planning.candidates import candidates
from registry.planning.commissioning import record_impedance, set_track, start_commissioning
from registry.planning.computing import find_plans
from registry.planning.fold_plans import accept_plan, keep_plan, reject_plan
from registry.planning.folding_input import Offer, ZoneChoice, fold_request, usual_choice
from registry.planning.kept import kept_plan, zone_row
from registry.planning.models import FoldPlan
from registry.planning.surroundings import surroundings
from registry.planning.wired import wiring_of
from registry.planning.zone_facts import ZoneFacts, zone_facts
from sites.models import Site, User

STAFF_ROOM_DB: Final = 56.0
MEASURED_OHM: Final = 4.3


def run_project(site: Site, *, by: User) -> None:
    """Plan the way off the old amplifier, decide, and begin to commission."""
    facts = {zone.name: zone for zone in zone_facts(site, wiring_of(site, site.zones.all()))}
    house, staff = (
        usual_choice(facts["Plant house"]),
        replace(usual_choice(facts["Staff room"]), wanted_db=STAFF_ROOM_DB),
    )
    both = _kept(site, by, "Plant house and staff room", [house, staff], facts)
    reject_plan(
        by=by, plan=both, reason="A second amplifier for one loudspeaker in the staff room is not worth its price."
    )
    accept_plan(by=by, plan=_kept(site, by, "Plant house in series pairs", [house], facts), agreed="The owner, on site")
    _begin_to_commission(site, by)


def _kept(site: Site, by: User, title: str, choices: Sequence[ZoneChoice], facts: dict[str, ZoneFacts]) -> FoldPlan:
    offers = [Offer(candidate=each, price=each.price, at_most=None) for each in candidates(site) if each.modes]
    request = fold_request(choices, offers)
    around = surroundings(site)
    found = find_plans(request, counts_channels=around.counts_channels)
    rows = [zone_row(facts[zone.name], wanted_db=zone.wanted_db) for zone in request.zones]
    kept = kept_plan(found.ranked[0], found, request, around=around, rows=rows, currency="GBP")
    return keep_plan(by=by, site=site, title=title, kept=kept, inputs="")


def _begin_to_commission(site: Site, by: User) -> None:
    run = start_commissioning(by=by, site=site)
    track = {"track_name": "Reference track 1", "track_sha256": "", "track_level_dbfs": -20.0}
    set_track(by=by, commissioning=run, values=track)
    line = Line.objects.get(site=site, name="L1 Tills")
    values = {"impedance_ohm": MEASURED_OHM, "frequency_hz": 1000.0, "is_open": False}
    record_impedance(by=by, commissioning=run, line=line, values=values)
