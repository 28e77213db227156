"""Every address: the admin for stewards, and one urls.py per subject."""

from django.urls import URLPattern, URLResolver, include, path

from sites.stewards import stewards

SUBJECTS = (
    "accounts",
    "tokens",
    "today",
    "sites",
    "equipment",
    "search",
    "history",
    "audio",
    "baselines",
    "exchange",
    "planning",
    "commissioning",
    "workbench",
    "comparator",
    "visit_plans",
    "visits",
    "calls",
    "reports",
    "network",
    "documents",
    "offline",
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("admin/", stewards.urls),
    path("", include("registry.api.urls")),
    *(path("", include(f"registry.web.{name}.urls")) for name in SUBJECTS),
]

handler400 = "registry.web.errors.bad_request"
handler500 = "registry.web.errors.server_error"
