"""North Hall with a rack, an amplifier, a line and a baseline."""

import pytest

from registry.baselines.models import Baseline
from registry.demo.factories import (
    BaselineFactory,
    CoilFactory,
    FilledPlaceFactory,
    LineFactory,
    LoudspeakerFactory,
    RackFactory,
    ReadingFactory,
    ZoneFactory,
)
from sites.models import Rack, Site


@pytest.fixture
def rack(site: Site) -> Rack:
    return RackFactory(site=site, name="Rack A", height_u=12)


@pytest.fixture
def baseline(site: Site, rack: Rack) -> Baseline:
    amplifier = FilledPlaceFactory(site=site, name="Amplifier 1", rack=rack, position_u=3)
    zone = ZoneFactory(site=site, name="Bar")
    line = LineFactory(site=site, name="L1 Bar", amplifier=amplifier)
    CoilFactory(line=line, loudspeaker=LoudspeakerFactory(site=site, label="LS-01", zone=zone), string="1")
    ReadingFactory(zone=zone)
    return BaselineFactory(site=site)
