"""What the page of a site's drift shows: every zone against its baseline, is it real, and settings that differ."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple
from urllib.parse import urlencode

from django.urls import reverse

from registry.audio.models import TOLERANCE_DB, Drift, Line, Zone
from registry.baselines.drift import ZoneDrift, drift_of, since_baseline
from registry.baselines.history import history_of
from registry.baselines.models import Baseline, Reading
from registry.baselines.often_drifting import (
    TEN_FIRST,
    Drifted,
    Feed,
    drifted,
    drifted_elsewhere,
    drifted_in,
)
from registry.baselines.proof import Proof, proof_of
from registry.baselines.queries import baselines_visible_to, newest_reading_of, recent_readings
from registry.baselines.site_rows import SiteRows, rows_of
from registry.baselines.snapshot import content_of, differences
from registry.baselines.strips import strip_of
from registry.drawings.history_chart import LevelHistory, draw_history
from registry.drawings.level_strip import LevelStrip
from registry.engineering.exposure import exposure_caution
from registry.web.baselines.words import label_of, value_of
from registry.web.sites.sentences import number_of, zones_sentence
from sites.models import Site, User

WORST_FIRST = (Drift.OUT, Drift.UNDECIDED, Drift.NOT_MEASURED, Drift.NO_BASELINE, Drift.WITHIN)
UNFOLDED = (Drift.OUT, Drift.UNDECIDED)
MOST_READINGS = 60  # newest ones in each chart; the zone's own page has more


class SettingRow(NamedTuple):
    """One setting that differs, in words."""

    where: str
    label: str
    before: str
    after: str
    is_one_of_ten: bool


class ZoneRow(NamedTuple):
    """One zone: strip, answer, chart and what differs."""

    zone: Zone
    drift: ZoneDrift
    strip: LevelStrip
    proof: Proof
    charts: dict[str, str]
    settings: list[SettingRow]
    may_change: bool
    workbench: str

    @property
    def unfolded(self) -> bool:
        """Whether the chart is shown without asking."""
        return self.drift.verdict in UNFOLDED

    @property
    def exposure(self) -> str | None:
        """The line to show beside a level at which staff exposure may need assessment."""
        return exposure_caution(self.drift.level_db) or exposure_caution(self.drift.baseline_db)


def drift_page(user: User, site: Site) -> dict[str, Any]:
    """Return the context of the page; a constant number of queries."""
    rows, baselines = rows_of(site), list(baselines_visible_to(user).filter(site=site).order_by("number"))
    baseline = baselines[-1] if baselines else None
    found = drifted(differences(baseline.content, content_of(rows))) if baseline else []
    feeds = _feeds(rows.lines)
    return {
        "baseline": baseline,
        "rows": _rows(rows, baselines, found, feeds),
        "elsewhere": [_setting(each, site) for each in drifted_elsewhere(found, feeds)],
        "sentence": f"{zones_sentence(rows.zones)} {_settings_sentence(found, baseline)}".strip(),
        "ten": ", ".join(TEN_FIRST),
    }


def _feeds(lines: Iterable[Line]) -> list[Feed]:
    rows = {
        Feed(coil.loudspeaker.zone.name, line.amplifier.name, line.channel, line.may_change)
        for line in lines
        for coil in line.coils.all()
    }
    return sorted(rows)


def _rows(
    now: SiteRows, baselines: Sequence[Baseline], found: Sequence[Drifted], feeds: Sequence[Feed]
) -> list[ZoneRow]:
    baseline, recent = baselines[-1] if baselines else None, recent_readings(now.zones, MOST_READINGS)
    rows = []
    for zone in now.zones:
        frozen = baseline.content["zones"].get(zone.name) if baseline else None
        may_change = all(feed.may_change for feed in feeds if feed.zone == zone.name)
        reading = newest_reading_of(zone)
        drift, proof = drift_of(zone, baseline, reading), _proof(zone, reading, frozen, may_change=may_change)
        rows.append(
            ZoneRow(
                zone=zone,
                drift=drift,
                strip=strip_of(zone, drift),
                proof=proof,
                charts=_charts(zone, history_of(zone, recent[zone.pk], baselines)),
                settings=[_setting(each, zone.site) for each in drifted_in(zone.name, found, feeds)],
                may_change=may_change,
                workbench=_workbench(drift, proof, frozen, zone.tolerance_db or TOLERANCE_DB),
            )
        )
    return sorted(rows, key=_worst_first)


def _proof(zone: Zone, reading: Reading | None, frozen: Mapping[str, Any] | None, *, may_change: bool) -> Proof:
    return proof_of(since_baseline(reading, frozen), frozen, zone.tolerance_db, may_change=may_change)


def _workbench(drift: ZoneDrift, proof: Proof, frozen: Mapping[str, Any] | None, tolerance_db: float) -> str:
    """Return where several readings are compared with the baseline at once; empty where none would decide."""
    if frozen is None or drift.level_db is None or drift.drift_db is None or proof.repeats is None:
        return ""
    if not math.isclose(drift.drift_db, drift.level_db - frozen["level_db"], abs_tol=1e-9):
        return ""  # a background was taken away, which that calculation doesn't do
    meter = frozen["meter_class"] or "unknown"
    given = {"readings": drift.level_db, "baseline": frozen["level_db"], "tolerance": tolerance_db}
    same = dict.fromkeys(("same_meter", "same_spot", "same_track"), "same")
    query = {name: f"{value:g}" for name, value in given.items()} | {"meter": meter, "baseline_meter": meter} | same
    return f"{reverse('calculation', args=['against-baseline'])}?{urlencode(query)}"


def _charts(zone: Zone, history: LevelHistory) -> dict[str, str]:
    return {
        "wide": draw_history(history, width=560, ident=f"history-{zone.pk}-wide"),
        "narrow": draw_history(history, ident=f"history-{zone.pk}-narrow"),
    }


def _worst_first(row: ZoneRow) -> tuple[int, float, str]:
    return WORST_FIRST.index(row.drift.verdict), -abs(row.drift.drift_db or 0.0), row.zone.name


def _setting(found: Drifted, site: Site) -> SettingRow:
    each = found.difference
    before, after = (value_of(each.key, value, site) for value in (each.before, each.after))
    where = "" if each.subject == "zones" else each.name
    return SettingRow(where, label_of(each.key), before, after, found.is_one_of_ten)


def _settings_sentence(found: Sequence[Drifted], baseline: Baseline | None) -> str:
    if baseline is None:
        return "There is no baseline to compare with."
    if not found:
        return f"Every setting is as in baseline {baseline.number}."
    first = sum(each.is_one_of_ten for each in found)
    differ = "differs" if len(found) == 1 else "differ"
    share = "all" if first == len(found) > 1 else f"{first}"
    often = f", {share} of them among the ten that drift most" if first else ""
    return f"{number_of(len(found), 'setting')} {differ} from baseline {baseline.number}{often}."
