"""The way back: pairs of words and addresses from the top down to the page above."""

from django.urls import reverse

from sites.models import Client, Site

Crumbs = list[tuple[str, str]]


def clients_crumbs() -> Crumbs:
    """Return the way to the list of clients."""
    return [("Clients", reverse("clients"))]


def client_crumbs(client: Client) -> Crumbs:
    """Return the way down to a client."""
    return [*clients_crumbs(), (client.name, reverse("client", args=[client.pk]))]


def site_crumbs(site: Site) -> Crumbs:
    """Return the way down to a site; its client must be loaded."""
    return [*client_crumbs(site.client), (site.name, reverse("site", args=[site.code]))]
