"""What to know before driving out: who changed what, what was agreed and when, what is open, spares."""

from typing import Any

from registry.baselines.models import Baseline
from registry.equipment.document_queries import references_visible_to
from registry.equipment.models import ConfigurationRecord, State, Status
from registry.equipment.queries import items_visible_to, records_visible_to
from registry.visits.models import ServiceCall
from registry.visits.queries import calls_visible_to, findings_visible_to, visits_visible_to
from registry.visits.repeats import earlier_calls
from registry.web.visits.finding_list import GRAVEST_FIRST
from sites.history_reading import history_visible_to, tell
from sites.models import HistoryEntry, User

# Tables that say how a site is; the others say how it was found, or who came.
CHANGING = (
    *(f"client_sites.{name}" for name in ("site", "space", "rack")),
    *(f"equipment.{name}" for name in ("place", "item", "placement", "configurationrecord")),
    *(f"audio.{name}" for name in ("zone", "line", "loudspeaker", "coil")),
)
MOST = 5


def before_driving(user: User, call: ServiceCall, baseline: Baseline | None) -> dict[str, Any]:
    """Return the context of the section. A constant number of queries."""
    findings = findings_visible_to(user).filter(site=call.site_id, closed_at__isnull=True)
    visits = visits_visible_to(user).filter(site=call.site_id, closed_at__isnull=False)
    spares = items_visible_to(user).filter(site=call.site_id, status=Status.SPARE).order_by("tag")
    return {
        "last_change": _last_change(user, call),
        "last_visit": visits.order_by("-closed_at").first(),
        "baseline": baseline,
        "baseline_days": (call.called_at - baseline.frozen_at).days if baseline else None,
        "changed_since": _changed_since(user, call, baseline),
        "open_findings": list(findings.annotate(gravity=GRAVEST_FIRST).order_by("gravity", "-found_at")[:MOST]),
        "earlier": earlier_calls(call, calls_visible_to(user)),
        "spares": list(spares),
        "references": list(references_visible_to(user).filter(site=call.site_id)),
        "guarded": list(call.site.lines.exclude(life_safety="no").order_by("name")),
    }


def _last_change(user: User, call: ServiceCall) -> HistoryEntry | None:
    """Return the last row that anybody wrote of how the site is, in words."""
    rows = history_visible_to(user).filter(site=call.site_id, kind__in=CHANGING)
    entry = rows.order_by("-at", "-pk").first()
    if entry is not None:
        tell([entry])
    return entry


def _changed_since(user: User, call: ServiceCall, baseline: Baseline | None) -> list[ConfigurationRecord]:
    """Return the settings that somebody left otherwise after the baseline was frozen: restoring would undo them."""
    if baseline is None:
        return []
    rows = records_visible_to(user).filter(place__site=call.site_id, state=State.AS_LEFT, correction__isnull=True)
    return list(rows.filter(taken_at__gt=baseline.frozen_at).order_by("-taken_at")[:MOST])
