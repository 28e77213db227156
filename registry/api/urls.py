"""Addresses of the API. A new resource is one module in `resources` and one line here."""

from django.urls import URLPattern, URLResolver, include, path
from rest_framework.routers import SimpleRouter

from registry.api.reference import openapi, reference
from registry.api.resources.baselines import Baselines, Restores
from registry.api.resources.calls import Calls
from registry.api.resources.clients import Clients
from registry.api.resources.coils import Coils, Loudspeakers
from registry.api.resources.documents import Documents, Sweeps
from registry.api.resources.findings import Findings
from registry.api.resources.lines import Lines
from registry.api.resources.models import Models
from registry.api.resources.places import Items, Places
from registry.api.resources.planning import Commissionings, FoldPlans, Measurements
from registry.api.resources.plans import Holidays, MovedDates, VisitPlans
from registry.api.resources.records import Records
from registry.api.resources.rooms import Racks, Spaces
from registry.api.resources.sites import Sites
from registry.api.resources.visits import Visits
from registry.api.resources.zones import Readings, Zones
from registry.api.views import Resource

RESOURCES: dict[str, type[Resource]] = {
    "clients": Clients,
    "sites": Sites,
    "spaces": Spaces,
    "racks": Racks,
    "models": Models,
    "places": Places,
    "items": Items,
    "records": Records,
    "zones": Zones,
    "lines": Lines,
    "loudspeakers": Loudspeakers,
    "coils": Coils,
    "readings": Readings,
    "measurements": Measurements,
    "baselines": Baselines,
    "restores": Restores,
    "fold-plans": FoldPlans,
    "commissionings": Commissionings,
    "visit-plans": VisitPlans,
    "moved-dates": MovedDates,
    "holidays": Holidays,
    "visits": Visits,
    "findings": Findings,
    "calls": Calls,
    "documents": Documents,
    "sweeps": Sweeps,
}

router = SimpleRouter()
for name, resource in RESOURCES.items():
    router.register(name, resource, basename=f"api-{name}")

for route in router.urls:
    # A redirect would turn a POST into a GET: an address without its slash is no address.
    route.callback.should_append_slash = False

routes: list[URLPattern | URLResolver] = [path("api/v1/", include(router.urls))]
urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/schema/", openapi, name="api-schema"),
    path("api/v1/docs/", reference, name="api-docs"),
    *routes,
]
