"""What the page of a site's drift shows: every zone against its baseline, is it real, and settings that differ."""

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple
from urllib.parse import urlencode

from django.urls import reverse

from registry.audio.models import TOLERANCE_DB, Drift, Zone
from registry.audio.queries import coils_visible_to, zones_visible_to
from registry.baselines.drift import ZoneDrift, drifts_of, since_baseline
from registry.baselines.history import histories_of
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
from registry.baselines.queries import newest_baselines, newest_readings
from registry.baselines.snapshot import differences, site_now
from registry.baselines.strips import strip_of
from registry.drawings.history_chart import LevelHistory, draw_history
from registry.drawings.level_strip import LevelStrip
from registry.engineering.exposure import exposure_caution
from registry.web.baselines.words import label_of, value_of
from registry.web.sites.sentences import number_of, zones_sentence
from sites.models import Site, User, YesNoUnknown

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
    zones = list(zones_visible_to(user).filter(site=site))
    baseline = newest_baselines([site.pk]).get(site.pk)
    found = drifted(differences(baseline.content, site_now(site))) if baseline else []
    feeds = _feeds(user, site)
    return {
        "baseline": baseline,
        "rows": _rows(zones, baseline, found, feeds),
        "elsewhere": [_setting(each, site) for each in drifted_elsewhere(found, feeds)],
        "sentence": f"{zones_sentence(zones)} {_settings_sentence(found, baseline)}".strip(),
        "ten": ", ".join(TEN_FIRST),
    }


def _feeds(user: User, site: Site) -> list[Feed]:
    columns = ("loudspeaker__zone__name", "line__amplifier__name", "line__channel", "line__life_safety")
    rows = coils_visible_to(user).filter(line__site=site).order_by(*columns).values_list(*columns).distinct()
    return [Feed(zone, place, channel, flag == YesNoUnknown.NO) for zone, place, channel, flag in rows]


def _rows(
    zones: Sequence[Zone], baseline: Baseline | None, found: Sequence[Drifted], feeds: Sequence[Feed]
) -> list[ZoneRow]:
    drifts = drifts_of(zones, {baseline.site_id: baseline} if baseline else {})
    readings, histories = newest_readings(zones), histories_of(zones, most=MOST_READINGS)
    rows = []
    for zone in zones:
        frozen = baseline.content["zones"].get(zone.name) if baseline else None
        may_change = all(feed.may_change for feed in feeds if feed.zone == zone.name)
        proof = _proof(zone, readings.get(zone.pk), frozen, may_change=may_change)
        settings = [_setting(each, zone.site) for each in drifted_in(zone.name, found, feeds)]
        strip, charts = strip_of(zone, drifts[zone.pk]), _charts(zone, histories[zone.pk])
        rows.append(
            ZoneRow(
                zone=zone,
                drift=drifts[zone.pk],
                strip=strip,
                proof=proof,
                charts=charts,
                settings=settings,
                may_change=may_change,
                workbench=_workbench(drifts[zone.pk], proof, frozen, zone.tolerance_db or TOLERANCE_DB),
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
