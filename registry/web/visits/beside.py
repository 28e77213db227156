"""Open findings and last visits, for the pages of a site, a place and a zone."""

from typing import Any

from django.db.models import Q

from registry.audio.models import Zone
from registry.audio.queries import coils_visible_to
from registry.equipment.models import Place
from registry.visits.queries import findings_visible_to, visits_visible_to
from registry.web.visits.finding_list import GRAVEST_FIRST
from sites.models import Site, User

FEW = 5


def visits_beside(user: User, about: Site | Place | Zone) -> dict[str, Any]:
    """Return what is open at a site, or about a place or zone of it and their lines, and the last visits there.

    Two queries.
    """
    site = about if isinstance(about, Site) else about.site
    findings = findings_visible_to(user).filter(site=site, closed_at__isnull=True)
    if isinstance(about, Zone):
        feeding = coils_visible_to(user).filter(loudspeaker__zone=about).values("line")
        findings = findings.filter(Q(zone=about) | Q(line__in=feeding))
    elif isinstance(about, Place):
        findings = findings.filter(Q(place=about) | Q(line__amplifier=about))
    visits = visits_visible_to(user).filter(site=site, begun_at__isnull=False)
    return {
        "open_findings": list(findings.annotate(gravity=GRAVEST_FIRST).order_by("gravity", "-found_at")[:FEW]),
        "last_visits": list(visits.order_by("-begun_at", "-pk")[:FEW]),
    }
