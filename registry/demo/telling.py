"""What was set and read at the further clients: commissioning, its baseline, and the readings since."""

import random
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from registry.audio.models import Zone
from registry.baselines.actions import freeze_baseline, record_readings
from registry.baselines.models import MeterClass
from registry.demo import words
from registry.demo.clients import Premises, Story
from registry.equipment.actions import record_settings
from registry.equipment.models import Kind, Place, State
from sites.models import Site, User
from sites.put import Batch

BEFORE_OPENING: Final = time(7, 30)
DRIFT_DB: Final = 5.5
SETTINGS: Final = {
    "source": ("Stream 1", ""),
    "input": ("network", ""),
    "content mode": ("mono", ""),
    "bass": ("0", "dB"),
    "treble": ("0", "dB"),
    "channel 1 volume": ("50", "%"),
    "channel 2 volume": ("50", "%"),
    "power-on level": ("30", "%"),
    "group": ("House", ""),
    "power-cut test": ("passed: plays Stream 1 again after 65 s", ""),
}


def tell(premises: Premises, *, site: Site, by: User, today: date, dice: random.Random) -> None:
    """Record what the story says: settings and levels as left, the baseline of that day, levels as found since."""
    zones = list(Zone.objects.filter(site=site).order_by("pk"))
    levels = {zone.pk: round(premises.level_db + dice.uniform(-3.0, 3.0), 1) for zone in zones}
    last = _morning(site, today - timedelta(weeks=premises.read_weeks))
    if premises.story == Story.NO_BASELINE:
        _read(by, zones, levels, state=State.AS_FOUND, at=last)
        return
    start = _morning(site, today - timedelta(weeks=premises.age_weeks))
    _set(by, site, SETTINGS, state=State.AS_LEFT, at=start)
    _read(by, zones, levels, state=State.AS_LEFT, at=start)
    overloaded = premises.story == Story.OVERLOADED
    at = start + timedelta(hours=1)
    freeze_baseline(by=by, site=site, reason="Commissioning", with_exceptions=overloaded, at=at)
    if premises.story == Story.NOT_MEASURED:
        return
    found = {pk: round(level + dice.uniform(-0.6, 0.6), 1) for pk, level in levels.items()}
    if premises.story == Story.DRIFTED:
        found[zones[0].pk] = round(levels[zones[0].pk] + DRIFT_DB, 1)
        _set(by, site, SETTINGS | {"channel 1 volume": ("94", "%")}, state=State.AS_FOUND, at=last, places=1)
    _read(by, zones, found, state=State.AS_FOUND, at=last)


def _morning(site: Site, day: date) -> datetime:
    return datetime.combine(day, BEFORE_OPENING, tzinfo=site.zone_info)


def _set(
    by: User,
    site: Site,
    values: dict[str, tuple[str, str]],
    *,
    state: State,
    at: datetime,
    places: int | None = None,
) -> None:
    """Record these settings of the site's amplifiers, or of the first few."""
    amplifiers = Place.objects.filter(
        site=site, placements__current=True, placements__item__make_model__kind=Kind.AMPLIFIER
    ).order_by("name")
    filled = amplifiers.values_list("pk", "placements__item")[:places]
    rows = {(place, state, at): {"item_id": item, "settings": values} for place, item in filled}
    record_settings(Batch(by=by), rows)


def _read(by: User, zones: list[Zone], levels: dict[int, float], *, state: State, at: datetime) -> None:
    rows: dict[Any, dict[str, Any]] = {}
    for count, zone in enumerate(zones):
        taken_at, level_db = at + timedelta(minutes=6 * count), levels[zone.pk]
        rows[(zone.pk, state, taken_at)] = {
            "zone_id": zone.pk,
            "state": state,
            "taken_at": taken_at,
            "dial": 50.0,
            "cap": 60.0,
            "level_db": level_db,
            "background_db": round(level_db - 18.0, 1),
            "spot": zone.spot,
            "meter": words.METER,
            "meter_class": MeterClass.CLASS_2,
            "track": words.TRACK,
        }
    record_readings(Batch(by=by), rows)
