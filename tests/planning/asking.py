"""Asking for plans without a page: the choices of every zone with one tolerance, on one amplifier."""

from collections.abc import Iterable
from dataclasses import replace

from registry.planning.candidates import candidates
from registry.planning.computing import Found, find_plans
from registry.planning.folding_input import FoldRequest, Offer, ZoneChoice, fold_request, usual_choice
from registry.planning.kept import KeptPlan, kept_plan, zone_row
from registry.planning.surroundings import surroundings
from registry.planning.wired import wiring_of
from registry.planning.zone_facts import ZoneFacts, zone_facts
from sites.models import Site


def facts_of(site: Site) -> dict[str, ZoneFacts]:
    """Return what is known of every zone of a site, by name."""
    return {zone.name: zone for zone in zone_facts(site, wiring_of(site, site.zones.all()))}


def usual_offers(site: Site, *names: str, at_most: int | None = None) -> list[Offer]:
    """Return these amplifiers of the catalogue at their prices, or all usable ones."""
    return [
        Offer(candidate=each, price=each.price, at_most=at_most)
        for each in candidates(site)
        if each.modes and (not names or each.name in names)
    ]


def requested(
    site: Site,
    names: Iterable[str] = (),
    *,
    tolerance_db: float | None = None,
    at_most: int | None = None,
    **changes: object,
) -> FoldRequest:
    """Return a request for these zones, or for all, as usual but for what is given."""
    facts = facts_of(site)
    choices: list[ZoneChoice] = [usual_choice(facts[name]) for name in (names or facts)]
    if tolerance_db is not None:
        choices = [replace(choice, tolerance_db=tolerance_db) for choice in choices]
    return fold_request([replace(choice, **changes) for choice in choices], usual_offers(site, at_most=at_most))  # type: ignore[arg-type]


def found_for(site: Site, request: FoldRequest) -> Found:
    """Search the plans of a request."""
    return find_plans(request, counts_channels=surroundings(site).counts_channels)


def kept_for(site: Site, request: FoldRequest, *, amplifiers: int | None = None) -> KeptPlan:
    """Return the best plan of a request, or the one with a number of amplifiers, ready to be kept."""
    found = found_for(site, request)
    plan = next(plan for plan in found.ranked if amplifiers in (None, len(plan.amplifiers)))
    rows = [zone_row(zone, wanted_db=zone.wanted.value) for zone in facts_of(site).values()]
    return kept_plan(plan, found, request, around=surroundings(site), rows=rows, currency="GBP")
