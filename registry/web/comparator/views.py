"""Pages of the comparator. Nothing that they measure comes back here."""

from typing import Any, Final

from django.http import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from registry.audio.queries import zones_visible_to
from registry.baselines.queries import newest_baselines
from registry.engineering.signal import CAUTION
from registry.web.access import SignedIn, visible
from registry.web.audio.zone_views import zone_crumbs
from registry.web.comparator.handed_over import frozen_zone, handed_over, handed_over_for
from registry.web.comparator.signals import reference_signals

# Run in this order; the worklet is loaded by the last one.
SCRIPTS: Final = tuple(f"comparator{part}.js" for part in ("-levels", "-references", "-result", "-microphone", ""))


@require_safe
def comparator(request: SignedIn) -> HttpResponseBase:
    """Compare levels at any place, with references that belong to no zone."""
    return _page(request, {"data": handed_over(), "crumbs": [("Workbench", reverse("workbench"))]})


@require_safe
def zone_comparator(request: SignedIn, pk: int) -> HttpResponseBase:
    """Compare the level of a zone with what this phone read at its baseline."""
    zone = visible(zones_visible_to(request.user), pk=pk)
    baseline = newest_baselines([zone.site_id]).get(zone.site_id)
    context = {
        "zone": zone,
        "site": zone.site,
        "baseline": baseline,
        "frozen": frozen_zone(zone, baseline),
        "data": handed_over_for(zone, baseline),
        "crumbs": zone_crumbs(zone),
    }
    return _page(request, context)


def _page(request: SignedIn, context: dict[str, Any]) -> HttpResponseBase:
    same = {"signals": reference_signals(), "signal_caution": CAUTION, "scripts": SCRIPTS}
    return render(request, "comparator/comparator.html", context | same)
