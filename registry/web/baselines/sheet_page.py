"""What the printed restore sheet shows."""

from typing import Any, NamedTuple

from django.utils import timezone

from registry.baselines.failing_lines import failing_lines
from registry.baselines.models import Baseline
from registry.baselines.restore_sheet import Group, Stage, Step
from registry.reports.wording import SHORT_FORM, day
from registry.web.baselines.cautions import cautions_of
from registry.web.baselines.words import value_of
from registry.web.cautions import CAUTIONS

ORDER = (
    "1. Read every zone as found (rows found), note settings that differ; 2. set; 3. read again (rows left). "
    "Once a setting is changed, nobody can tell any more what was found."
)


class ZoneLine(NamedTuple):
    """One zone of the sheet: what to set, and what to measure against."""

    group: Group
    source: str
    cap: str
    dial: str
    level: str
    tolerance: str
    background: str


def sheet_page(baseline: Baseline, sheet: list[Group]) -> dict[str, Any]:
    """Return the context of the printed sheet; the sheet is the same as on the screen."""
    content, failing = baseline.content, failing_lines(baseline)
    zones = [group for group in sheet if group.subject == "zone" and not group.excluded]
    cautions = [caution for group in sheet for caution in cautions_of(group, content, failing)]
    meters = {(zone["meter"], zone["meter_class"]) for zone in content["zones"].values() if zone["meter"]}
    tracks = {zone["track"] for zone in content["zones"].values() if zone["track"]}
    return {
        "places": [group for group in sheet if group.subject == "place" and not group.excluded],
        "zones": [_zone(group, baseline) for group in zones],
        "excluded": _excluded(sheet),
        "order": ORDER,
        "printed": day(timezone.now().astimezone(baseline.site.zone_info).date()),
        "cautions": list(dict.fromkeys([*cautions, CAUTIONS["ladder"]])),
        "meters": ", ".join(f"{meter} (class {kind or 'not known'})" for meter, kind in sorted(meters, key=str)),
        "tracks": ", ".join(sorted(tracks)),
        "short_form": SHORT_FORM,
    }


def _excluded(sheet: list[Group]) -> list[tuple[str, str]]:
    """Return the names that are not to be altered with the reason they share."""
    reasons = dict.fromkeys(group.excluded for group in sheet if group.excluded)
    return [(", ".join(group.name for group in sheet if group.excluded == why), why) for why in reasons]


def _zone(group: Group, baseline: Baseline) -> ZoneLine:
    frozen = baseline.content["zones"][group.name]
    steps: dict[Stage, Step] = {step.stage: step for step in group.steps}
    shown = {key: value_of(key, frozen[key], baseline.site) for key in ("level_db", "tolerance_db", "background_db")}
    return ZoneLine(
        group=group,
        source=steps[Stage.SOURCE].shown if Stage.SOURCE in steps else "",
        cap=steps[Stage.CAP].shown if Stage.CAP in steps else "",
        dial=steps[Stage.DIAL].shown if Stage.DIAL in steps else "",
        level=shown["level_db"] if frozen["level_db"] is not None else "",
        tolerance=shown["tolerance_db"],
        background=shown["background_db"],
    )
