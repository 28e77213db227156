"""The app of clients and sites; its label is fixed because `sites` belongs to django.contrib.sites."""

from django.apps import AppConfig


class SitesConfig(AppConfig):
    """Clients, membership, sites, spaces and racks."""

    name = "sites"
    label = "client_sites"
    verbose_name = "Clients and sites"
