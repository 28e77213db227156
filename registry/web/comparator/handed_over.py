"""What the script of the comparator is given: it lies in the page, so that the page works where there is no network."""

import math
from typing import Any, Final

from registry.audio.models import TOLERANCE_DB, Zone
from registry.baselines.models import Baseline
from registry.engineering.background import RULES
from registry.engineering.measure import mean_and_uncertainty
from registry.engineering.uncertainty import t_factor
from registry.engineering.weighting import weighting_filter
from registry.engineering.weighting_curve import Curve

# What phones and laptops run at. At lower rates the top of the spectrum is missing, as with a headset by radio.
RATES_HZ: Final = (44100, 48000, 88200, 96000, 176400, 192000)
CURVES: Final[tuple[Curve, ...]] = ("A", "C")
CLIPPED: Final = 0.99  # of full scale; common practice: the last tenth of a decibel is already doubtful


def handed_over() -> dict[str, Any]:
    """Return filters, limits, and where references are kept in the browser when they belong to no zone."""
    background = RULES["iso_3744"]
    one = mean_and_uncertainty([0.0], "phone")
    return {
        "filters": {
            str(rate): {curve: weighting_filter(curve, rate).tolist() for curve in CURVES} for rate in RATES_HZ
        },
        "background": {"limit_db": background.limit_db, "none_from_db": background.none_from_db},
        "uncertainty": {"handling_db": one.handling_db, "repeat_db": one.repeat_db, "k": t_factor(math.inf)},
        "clipped": CLIPPED,
        "tolerance_db": TOLERANCE_DB,
        "tolerance_agreed": False,
        "place": "workbench",
        "baseline": 0,
        "baseline_level_db": None,
    }


def handed_over_for(zone: Zone, baseline: Baseline | None) -> dict[str, Any]:
    """Return the same for a zone with its site's newest baseline (0: none yet); its site must be loaded."""
    return handed_over() | {
        "tolerance_db": zone.tolerance_db or TOLERANCE_DB,
        "tolerance_agreed": zone.tolerance_db is not None,
        "place": f"{zone.site.code}/{zone.pk}",
        "baseline": baseline.number if baseline else 0,
        "baseline_level_db": frozen_zone(zone, baseline).get("level_db"),
    }


def frozen_zone(zone: Zone, baseline: Baseline | None) -> dict[str, Any]:
    """Return what a baseline holds of a zone; empty when there is none."""
    return (baseline.content["zones"].get(zone.name) if baseline else None) or {}
