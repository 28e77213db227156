"""The garden centre's network and papers: a sweep with one changed address, two documents, where its secrets are."""

from datetime import date, datetime, time, timedelta
from typing import Final

import typst

from registry.equipment.documents import Sent, add_document
from registry.equipment.models import DocumentKind, Place
from registry.equipment.queries import place_of
from registry.equipment.secret_references import save_reference
from registry.equipment.site_network import items_on_network
from registry.equipment.sweeps import record_sweep
from registry.exchange.network_sweep import read_sweep
from sites.models import Site, User

SWEPT: Final = timedelta(days=2)
SWEPT_AT: Final = time(6, 40)
MOVED: Final = {"Endpoint 1": "192.0.2.34"}
UNKNOWN: Final = "192.0.2.77,00-00-5E-00-53-77,till-3"  # addresses for documentation: RFC 5737 and RFC 7042
ROUTER: Final = """hostname sb-router
lan address 192.0.2.1/24
dhcp range 192.0.2.100 to 192.0.2.199
dhcp reservation 02:00:5e:10:00:0b 192.0.2.11
dhcp reservation 02:00:5e:10:00:0c 192.0.2.12
dhcp reservation 02:00:5e:10:00:0d 192.0.2.13
dhcp reservation 02:00:5e:10:00:0e 192.0.2.14
wifi name Sallow-Bank-Office
wifi password ****
"""
DRAWING: Final = b"""#set document(title: "Rack A")
= Rack A, as built
Router U18, switch U17, music player U15, old amplifier U10, amplifiers 1 to 3 U8, U6 and U4, UPS U1.
"""
REFERENCES: Final = (
    ("Administration of the router", "Password safe of the office, entry Sallow Bank router", "The office"),
    ("Comms cupboard behind the tills", "Key board of the manager on duty, hook 4", "The manager on duty"),
)


def add_network(site: Site, *, by: User, today: date) -> None:
    """Import a sweep of two days ago, keep two documents, and say where two secrets are kept."""
    at = datetime.combine(today - SWEPT, SWEPT_AT, tzinfo=site.zone_info)
    read = read_sweep("sallow-bank-hosts.csv", _hosts(site), site=site, at=at)
    record_sweep(by=by, site=site, source=read.source, sha256=read.sha256, hosts=read.hosts)
    _add_documents(site, by=by, dated_on=today - SWEPT)
    for opens, kept_where, who in REFERENCES:
        values = {"opens": opens, "kept_where": kept_where, "who_may_ask": who, "checked_on": today - SWEPT}
        save_reference(by=by, site=site, reference=None, values=values)


def _hosts(site: Site) -> bytes:
    rows = ["IP address,MAC address,Host name"]
    for item in items_on_network(site):
        if place := place_of(item):
            rows.append(f"{MOVED.get(place.name, place.ip)},{item.mac.upper().replace(':', '-')},{place.hostname}")
    return "\n".join([*rows, UNKNOWN]).encode()


def _add_documents(site: Site, *, by: User, dated_on: date) -> None:
    configuration = {
        "title": "Router, exported configuration",
        "kind": DocumentKind.CONFIGURATION,
        "place": Place.objects.get(site=site, name="Router"),
        "dated_on": dated_on,
    }
    add_document(by=by, site=site, sent=Sent("sb-router.cfg", ROUTER.encode()), values=configuration)
    drawing = {
        "title": "Rack A, as built",
        "kind": DocumentKind.DRAWING,
        "dated_on": dated_on,
        "looked_through": True,
        "for_owner": True,
    }
    add_document(by=by, site=site, sent=Sent("rack-a.pdf", typst.compile(DRAWING)), values=drawing)
