"""All calculations of the Workbench by theme: one entry here puts one on the index and in `manage.py calc`."""

from typing import Final, NamedTuple

from registry.web.workbench.calculations.cables import CABLE_LOSS, CABLE_RESISTANCE, CABLE_SIZE, LONGEST_RUN
from registry.web.workbench.calculations.diagnoses import DIAGNOSIS
from registry.web.workbench.calculations.dials import CAP_TO_DEFAULT, DIAL_CHANGE, DIAL_LEVEL
from registry.web.workbench.calculations.folds import FOLD_PLAN
from registry.web.workbench.calculations.hearing import HEARING_DOSE, HEARING_TIME
from registry.web.workbench.calculations.levels import (
    DECIBELS,
    LEVEL_AT_DISTANCE,
    LEVEL_MEAN,
    LEVEL_SUM,
    POWER_NEEDED,
    ZONE_SENSITIVITY,
)
from registry.web.workbench.calculations.lines import CONSTANT_VOLTAGE, EQUAL_LOUDSPEAKERS
from registry.web.workbench.calculations.listed_lines import LINE_FAULTS, LISTED_LINE
from registry.web.workbench.calculations.network import NETWORK
from registry.web.workbench.calculations.noise import NOISE_SIGNAL
from registry.web.workbench.calculations.power import AUDIO_STREAM, BATTERY, CURRENT, HEAT, POE
from registry.web.workbench.calculations.racks import RACK
from registry.web.workbench.calculations.readings import AGAINST_BASELINE, BACKGROUND, MEAN_UNCERTAINTY
from registry.web.workbench.calculations.rooms import COVERAGE
from registry.web.workbench.calculations.taps import LARGEST_TAP, TAP
from registry.web.workbench.calculations.weightings import BAND_LEVEL, WEIGHTING
from registry.web.workbench.declaring import Calculation


class Theme(NamedTuple):
    """Calculations that belong together."""

    title: str
    calculations: tuple[Calculation, ...]


THEMES: Final = (
    Theme(
        "Lines and loads", (NETWORK, EQUAL_LOUDSPEAKERS, CONSTANT_VOLTAGE, LISTED_LINE, LINE_FAULTS, TAP, LARGEST_TAP)
    ),
    Theme("Cable", (CABLE_LOSS, CABLE_RESISTANCE, LONGEST_RUN, CABLE_SIZE)),
    Theme("Finding and folding", (DIAGNOSIS, FOLD_PLAN, ZONE_SENSITIVITY)),
    Theme("Level control", (CAP_TO_DEFAULT, DIAL_LEVEL, DIAL_CHANGE)),
    Theme("Readings", (AGAINST_BASELINE, MEAN_UNCERTAINTY, BACKGROUND, LEVEL_MEAN, NOISE_SIGNAL)),
    Theme("Sound and rooms", (LEVEL_SUM, LEVEL_AT_DISTANCE, POWER_NEEDED, COVERAGE, WEIGHTING, BAND_LEVEL, DECIBELS)),
    Theme("Hearing", (HEARING_TIME, HEARING_DOSE)),
    Theme("Racks and power", (RACK, CURRENT, HEAT, BATTERY, POE, AUDIO_STREAM)),
)
CALCULATIONS: Final = {calculation.name: calculation for theme in THEMES for calculation in theme.calculations}
