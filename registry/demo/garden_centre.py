"""The garden centre: a survey folder, told in its order: survey, commissioning, baseline, the visits since."""

from datetime import date, datetime, time
from pathlib import Path
from typing import Final

from registry.baselines.actions import freeze_baseline
from registry.demo.dates import moved, until, weeks_until
from registry.exchange.folder import files_of_folder
from registry.exchange.importing import import_survey
from sites.models import Site, User

FOLDER: Final = Path(__file__).parent / "survey" / "garden-centre"
CODE: Final = "sallow-bank"
COMMISSIONED: Final = date(2024, 9, 24)
FROZEN_AT: Final = time(8, 45)
MOST_BYTES: Final = 1024 * 1024
REASON: Final = "Commissioning of amplifiers 1 to 3; the old amplifier keeps three lines until phase two"


def load_garden_centre(*, by: User, today: date) -> Site:
    """Import the survey up to commissioning, freeze the baseline of that day, then import what was read since."""
    files = files_of_folder(FOLDER, most_bytes=MOST_BYTES)
    weeks = weeks_until(files, today)
    files, commissioned = moved(files, weeks), COMMISSIONED + weeks
    import_survey(until(files, commissioned), by=by)
    site = Site.objects.get(code=CODE)
    at = datetime.combine(commissioned, FROZEN_AT, tzinfo=site.zone_info)
    freeze_baseline(by=by, site=site, reason=REASON, with_exceptions=True, at=at)
    import_survey(files, by=by)
    return site
