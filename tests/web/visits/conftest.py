"""North Hall with a visit under way there, and one that is closed with all that a report can hold."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.demo.factories import BaselineFactory, ReadingFactory
from registry.demo.factories.visits import VisitFactory
from registry.visits.closing import add_addendum, close_visit
from registry.visits.finding import add_finding
from registry.visits.keeping import add_visit_photo, use_part
from registry.visits.models import Visit
from registry.visits.reading import record_visit_measurement, record_visit_reading
from registry.visits.working import record_task
from sites.models import Site, User
from tests.visits.visit_work import (
    CLOSING,
    FINDING,
    LEVEL,
    OHM,
    hall_with_a_line,
    picture,
    visit_with_tasks,
    zone_of,
)


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def line(site: Site) -> Line:
    return hall_with_a_line(site)


@pytest.fixture
def zone(line: Line) -> Zone:
    return zone_of(line)


@pytest.fixture
def visit(line: Line, tech: User) -> Visit:
    return visit_with_tasks(line, tech)


@pytest.fixture
def closed(zone: Zone, line: Line, tech: User) -> Visit:
    """60 dB agreed, 66 dB found, 60.3 dB left, every kind of record, and words that an owner may not read."""
    tech.first_name, tech.last_name = "Alex", "Tech"
    tech.save()
    place = line.amplifier
    place.hostname = "amp-one"
    place.save()
    ReadingFactory(zone=zone, level_db=60.0, background_db=None)
    BaselineFactory(site=zone.site, by=tech)
    visit = visit_with_tasks(line, tech)
    visit.begun_at = timezone.now()
    visit.save()
    levels, impedance, fixings = (visit.tasks.get(kind=kind) for kind in ("levels", "impedance", "fixings"))
    same = LEVEL | {"background_db": None, "meter": "Meter A", "track": "Reference track 1"}
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=same | {"level_db": 66.0})
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as left", values=same | {"level_db": 60.3})
    record_task(by=tech, task=levels, result="done")
    record_visit_measurement(by=tech, visit=visit, line=line, values=OHM)
    record_task(by=tech, task=impedance, result="done")
    dials = visit.tasks.get(kind="controls")
    record_task(by=tech, task=dials, found="80 %, set from 192.0.2.7 on amp-one", left="50 %", result="wrong")
    record_task(by=tech, task=fixings, result="not done", why_not="no ladder")
    loose = add_finding(by=tech, site=visit.site, visit=visit, values=FINDING | {"zone_id": zone.pk})
    add_finding(
        by=tech,
        site=visit.site,
        visit=visit,
        values=FINDING | {"says": "Cover hangs loose", "severity": "hazardous", "follow_up": "immediate"},
    )
    secret = add_finding(
        by=tech, site=visit.site, visit=visit, values=FINDING | {"says": "Owner is difficult", "internal": True}
    )
    add_visit_photo(by=tech, visit=visit, data=picture(), caption="The loose loudspeaker", finding=loose)
    add_visit_photo(by=tech, visit=visit, data=picture(), caption="Only for us", finding=secret)
    add_visit_photo(by=tech, visit=visit, data=picture((60, 80)), caption="The rack")
    use_part(by=tech, visit=visit, what="Fuse 3 A", quantity=2)
    VisitFactory(site=visit.site, title="Half-yearly check", starts_at=timezone.now() + timedelta(days=180))
    made = close_visit(by=tech, visit=visit, values=CLOSING)
    add_addendum(by=tech, visit=made, says="The ladder comes on Monday.")
    return made
