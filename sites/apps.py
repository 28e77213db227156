"""The app of clients and sites; its label is fixed because `sites` belongs to django.contrib.sites."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_save
from simple_history.signals import post_create_historical_record


class SitesConfig(AppConfig):
    """Clients, membership, sites, spaces and racks."""

    name = "sites"
    label = "client_sites"
    verbose_name = "Clients and sites"

    def ready(self) -> None:
        """Log every row of a history; keep secrets out; let the database guard what is recorded once."""
        from sites.append_only import guard_after_migrate  # needs the tables of all apps
        from sites.history import log_one
        from sites.no_secrets import refuse_putting, refuse_saving
        from sites.put import rows_put
        from sites.shared_cache import make_after_migrate

        post_create_historical_record.connect(log_one, dispatch_uid="log history", weak=False)
        pre_save.connect(refuse_saving, dispatch_uid="no secrets")
        rows_put.connect(refuse_putting, dispatch_uid="no secrets")
        post_migrate.connect(guard_after_migrate, sender=self, dispatch_uid="append-only")
        post_migrate.connect(make_after_migrate, sender=self, dispatch_uid="shared cache")
