"""Every address: the admin for stewards, and one urls.py per subject."""

from django.urls import URLPattern, URLResolver, include, path

from sites.stewards import stewards

SUBJECTS = (
    "accounts",
    "today",
    "sites",
    "equipment",
    "search",
    "audio",
    "baselines",
    "exchange",
    "planning",
    "commissioning",
    "workbench",
    "reports",
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("admin/", stewards.urls),
    *(path("", include(f"registry.web.{name}.urls")) for name in SUBJECTS),
]
