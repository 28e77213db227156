"""Clients, sites, spaces and racks of a survey."""

from registry.exchange.survey import Survey, picked
from registry.exchange.survey_format import CLIENTS, RACK_LIMITS, RACKS, SITES, SPACES
from sites import actions
from sites.models import Client, Rack, Site, Space


def import_clients(survey: Survey) -> None:
    """Clients by name; those that only sites.csv names must be in the register."""
    named = {row["client"] for row in survey.tables[SITES.name]}
    survey.know("client", Client.objects.filter(name__in=named), lambda client: (client.name,))
    rows = {
        (row["client"],): (row, {"name": row["client"]} | picked(row, ("contact", "email", "phone")))
        for row in survey.tables[CLIENTS.name]
    }
    survey.put("client", actions.put_clients, rows, {"name": "client"})


def import_sites(survey: Survey) -> None:
    """Sites by code, and those in the register that other files name."""
    codes = {row["site"] for rows in survey.tables.values() for row in rows if row["site"]}
    survey.sites = {site.code: site for site in Site.objects.filter(code__in=codes)}
    rows = {}
    for row in survey.tables[SITES.name]:
        client, known = survey.refer(row, "client", "client", (row["client"],), CLIENTS.name)
        if known:
            facts = picked(row, ("name", "address", "time_zone", "units", "access_notes", "voice_alarm"))
            rows[(row["site"],)] = (row, {"code": row["site"], "client_id": client.pk} | facts)
    written = survey.put("site", actions.put_sites, rows)
    survey.sites |= {site.code: site for site in written.values()}


def import_spaces(survey: Survey) -> None:
    """Spaces by site and name."""
    known = Space.objects.filter(site__in=survey.sites.values())
    survey.know("space", known, lambda space: (space.site_id, space.name))
    facts = ("ceiling_m", "listener_height_m", "area_m2", "use", "notes")
    rows = {
        (site.pk, row["space"]): (row, {"site_id": site.pk, "name": row["space"]} | picked(row, facts))
        for row, site in survey.sited(SPACES)
    }
    survey.put("space", actions.put_spaces, rows)


def import_racks(survey: Survey) -> None:
    """Racks by site and name."""
    known = Rack.objects.filter(site__in=survey.sites.values())
    survey.know("rack", known, lambda rack: (rack.site_id, rack.name))
    rows = {}
    for row, site in survey.sited(RACKS):
        space, found = survey.refer(row, "space", "space", (site.pk, row["space"]), SPACES.name)
        if found:
            values = {"site_id": site.pk, "name": row["rack"], "space_id": space and space.pk}
            rows[(site.pk, row["rack"])] = (row, values | picked(row, ("height_u", *RACK_LIMITS)))
    survey.put("rack", actions.put_racks, rows)
