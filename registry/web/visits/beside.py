"""Open findings and last visits, for the pages of a site, a place and a zone."""

from typing import Any

from django.db.models import Q

from registry.audio.models import Zone
from registry.audio.queries import coils_visible_to
from registry.equipment.models import Place
from registry.visits.models import Finding
from registry.visits.queries import findings_visible_to, visits_visible_to
from registry.web.visits.finding_list import GRAVEST_FIRST
from sites.models import Site, User

FEW = 5


def visits_beside(user: User, about: Place | Zone) -> dict[str, Any]:
    """Return what is open about a place or zone and its lines, and the last visits to its site. Two queries."""
    visits = visits_visible_to(user).filter(site=about.site, begun_at__isnull=False)
    return {
        "open_findings": open_findings(user, about),
        "last_visits": list(visits.order_by("-begun_at", "-pk")[:FEW]),
    }


def open_findings(user: User, about: Site | Place | Zone) -> list[Finding]:
    """Return what is open at a site, or about a place or zone of it and their lines, the gravest first. One query."""
    site = about if isinstance(about, Site) else about.site
    findings = findings_visible_to(user).filter(site=site, closed_at__isnull=True)
    if isinstance(about, Zone):
        feeding = coils_visible_to(user).filter(loudspeaker__zone=about).values("line")
        findings = findings.filter(Q(zone=about) | Q(line__in=feeding))
    elif isinstance(about, Place):
        findings = findings.filter(Q(place=about) | Q(line__amplifier=about))
    return list(findings.annotate(gravity=GRAVEST_FIRST).order_by("gravity", "-found_at")[:FEW])
