"""What a zone's page shows, fetched with a constant number of queries."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any, NamedTuple

from django.db.models import QuerySet

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Coil, Line, Loudspeaker, Zone
from registry.audio.queries import coils_visible_to, lines_visible_to, loudspeakers_visible_to
from registry.baselines.drift import drift_of
from registry.baselines.history import MOST_READINGS, history_of
from registry.baselines.models import Baseline, Reading
from registry.baselines.queries import baselines_visible_to, readings_visible_to, recent_readings
from registry.baselines.strips import strip_of
from registry.drawings.history_chart import draw_history
from registry.engineering.dial import cap_for
from registry.engineering.exposure import exposure_caution
from registry.planning.last_measured import with_wrong, wrong_at
from registry.web.audio.line_page import drawings
from registry.web.sites.sentences import findings_sentence, measured_sentences
from registry.web.visits.beside import visits_beside
from sites.models import User


class ZoneLine(NamedTuple):
    """A line that feeds a zone, drawn."""

    line: Line
    drawings: dict[str, str]


class ZoneLoudspeaker(NamedTuple):
    """A loudspeaker of the zone and its coils that are connected."""

    unit: Loudspeaker
    coils: list[Coil]


def zone_page(user: User, zone: Zone) -> dict[str, Any]:
    """Return the context of a zone's page."""
    baselines = list(baselines_visible_to(user).filter(site=zone.site_id).order_by("number"))
    baseline = baselines[-1] if baselines else None
    readings = recent_readings([zone], MOST_READINGS)[zone.pk]
    newest = readings[0] if readings else None
    drift, history = drift_of(zone, baseline, newest), history_of(zone, readings, baselines)
    rows = list(with_wrong(lines_feeding(user, zone)))
    lines = [_line(line) for line in {row.pk: row for row in rows}.values()]
    beside = visits_beside(user, zone)
    untouchable = [each.line for each in lines if not each.line.may_change]
    return {
        "baseline": baseline,
        "frozen": _frozen(zone, baseline),
        "drift": drift,
        "strip": strip_of(zone, drift),
        "newest": newest,
        "charts": {"wide": draw_history(history, width=720, ident="history-wide"), "narrow": draw_history(history)},
        "lines": lines,
        "measured_sentences": measured_sentences(wrong_at(rows).values()),
        "findings_sentence": findings_sentence(beside["open_findings"]),
        **beside,
        "untouchable": untouchable,
        "loudspeakers": _loudspeakers(user, zone, [each.line for each in lines]),
        "cap_advice": "" if untouchable else cap_advice(zone, newest),
        "exposure": exposure_caution(drift.level_db) or exposure_caution(drift.baseline_db),
    }


def lines_feeding(user: User, zone: Zone) -> QuerySet[Line]:
    """Return the lines on which a coil of the zone hangs, with their wiring."""
    coils = coils_visible_to(user).filter(loudspeaker__zone=zone)
    # The site follows from the coils, but unless it is said the database may join the lines of every site first.
    lines = lines_visible_to(user).filter(site=zone.site_id, pk__in=coils.values("line"))
    return with_wiring(lines).order_by("name")


def _line(line: Line) -> ZoneLine:
    return ZoneLine(line, drawings(line, load_of(line) if line.coils.all() else None))


def _frozen(zone: Zone, baseline: Baseline | None) -> dict[str, Any]:
    return (baseline.content["zones"].get(zone.name) if baseline else None) or {}


def _loudspeakers(user: User, zone: Zone, lines: Iterable[Line]) -> list[ZoneLoudspeaker]:
    connected: defaultdict[int, list[Coil]] = defaultdict(list)
    for coil in sorted((coil for line in lines for coil in line.coils.all()), key=lambda coil: coil.coil):
        connected[coil.loudspeaker_id].append(coil)
    return [ZoneLoudspeaker(unit, connected[unit.pk]) for unit in loudspeakers_visible_to(user).filter(zone=zone)]


def cap_advice(zone: Zone, reading: Reading | None) -> str:
    """Return how the cap brings the dial to its default position at the same output; empty when it is there already."""
    dial, cap, wanted = reading and reading.dial, reading and reading.cap, zone.default_position
    if not dial or not cap or not wanted or dial == wanted:
        return ""
    try:
        new_cap = cap_for(dial, cap, wanted)
    except ValueError as error:
        return f"{error}."
    return f"A cap of {new_cap:.3g} % gives the same output with the dial at its default position, {wanted:g} %."


def history_rows(user: User, zone: Zone) -> QuerySet[Reading]:
    """Return every reading of a zone, corrected ones too, with who recorded it and what replaces it."""
    found = readings_visible_to(user).filter(zone=zone)
    return found.select_related("zone__site", "recorded_by", "correction", "replaces", "restore")
