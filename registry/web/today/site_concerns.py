"""Sites whose zones have drifted, and sites that nobody has frozen yet."""

from collections.abc import Mapping
from typing import Any

from django.urls import reverse

from registry.audio.models import Drift
from registry.audio.queries import zones_visible_to
from registry.baselines.queries import without_baseline
from registry.web.sites.filters import listed_sites, site_page
from registry.web.sites.sentences import number_of
from registry.web.today.concern import SHOWN, Asked, Row
from sites.models import User


def site_concerns(user: User) -> dict[str, Asked]:
    """Return both kinds of sites; their first rows are read together."""
    zones = zones_visible_to(user).filter(drift__in=[Drift.OUT, Drift.UNDECIDED])
    # Most zones out, then most undecided, then the largest drift. Without a baseline nothing drifts: those are by name.
    sites = listed_sites(user).order_by("-zones_out", "-zones_undecided", "-drift_size_db", "name", "pk")
    drifting, bare = sites.filter(pk__in=zones.values("site")), without_baseline(sites).order_by("name", "pk")
    # Each within another one, since SQLite joins no queries that are cut short.
    few = [sites.order_by().filter(pk__in=each.values("pk")[:SHOWN]).values("pk") for each in (drifting, bare)]
    first = sites.filter(pk__in=few[0].union(few[1]))
    return {
        "drifting": Asked(
            heading="Sites by drift",
            short=_drifting_words,
            rows=drifting,
            first=lambda: (site for site in first if site.zones_out or site.zones_undecided),
            as_row=lambda site: Row(site.name, reverse("site-drift", args=[site.code]), None, _drift(site)),
            all_href=f"{reverse('sites')}?drift=yes&sort=-zones-out-of-tolerance",
        ),
        "bare": Asked(
            heading="Sites without a baseline",
            short=lambda numbers: f"{number_of(numbers['bare'], 'site')} without a baseline",
            rows=bare,
            first=lambda: (site for site in first if site.baseline_number is None),
            as_row=lambda site: Row(site.name, site_page(site), None, "nobody can restore it to what was agreed"),
            all_href=f"{reverse('sites')}?baseline=no",
        ),
    }


def _drifting_words(numbers: Mapping[str, int]) -> str:
    # Where zones are out, the first sentence has counted them already.
    return "" if numbers["zones"] else f"{number_of(numbers['drifting'], 'site')} with undecided zones"


def _drift(site: Any) -> str:
    counts = ((site.zones_out, "out"), (site.zones_undecided, "undecided"))
    said = ", ".join(f"{count} {word}" for count, word in counts if count)
    largest = f", largest drift {site.drift_db:+.1f} dB".replace("-", "−") if site.drift_db is not None else ""
    return f"{said} of {number_of(site.zone_count, 'zone')}{largest}"
