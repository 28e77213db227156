"""North Hall's bar: two loudspeakers of 8 Ω in parallel on one channel, known not to serve life safety."""

import pytest

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, Zone
from registry.demo.factories import (
    CoilFactory,
    LineFactory,
    LoudspeakerFactory,
    LoudspeakerModelFactory,
    UserFactory,
    ZoneFactory,
)
from sites.models import Role, Site, User


@pytest.fixture
def zone(site: Site) -> Zone:
    return ZoneFactory(site=site, name="Bar", spot="P1 by the till", tolerance_db=2.0)


@pytest.fixture
def line(site: Site, zone: Zone) -> Line:
    made = LineFactory(site=site, name="Bar line", amplifier__name="Amplifier 1")
    add_loudspeakers(made, zone, "LS-1", "LS-2")
    made.refresh_from_db()
    return made


@pytest.fixture
def manager(db: None) -> User:
    return UserFactory(username="manager", role=Role.MANAGER)


def add_loudspeakers(line: Line, zone: Zone, *labels: str, **coil: object) -> None:
    """Connect loudspeakers of 8 Ω and 40 W to a line, each on a string of its own, without any cable between."""
    model = LoudspeakerModelFactory()
    for label in labels:
        unit = LoudspeakerFactory(site=line.site, zone=zone, label=label, make_model=model)
        CoilFactory(**({"line": line, "loudspeaker": unit, "cable_m": 0.0, "string": label} | coil))
    refresh_verdicts(Line.objects.filter(pk=line.pk))
