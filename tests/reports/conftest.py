"""A small shop with a rack, two lines and a frozen baseline."""

import pytest

from registry.demo.factories import (
    BaselineFactory,
    ClientFactory,
    CoilFactory,
    FilledPlaceFactory,
    LineFactory,
    LoudspeakerFactory,
    RackFactory,
    ReadingFactory,
    SiteFactory,
    SpaceFactory,
    UserFactory,
    ZoneFactory,
)
from sites.models import Role, Site, YesNoUnknown

ADDRESS = "https://register.example/sites/mill-lane/"


@pytest.fixture
def site(db: None) -> Site:
    """Mill Lane: Bar and Hall on amplifier 1, Stairs on amplifier 2, whose line may be life-safety related."""
    client = ClientFactory(name="Mill Lane Ltd", contact="Manager on duty", phone="555-0107")
    site = SiteFactory(client=client, code="mill-lane", name="Mill Lane", address="7 Mill Lane")
    rack = RackFactory(site=site, name="Rack A", height_u=12, space=SpaceFactory(site=site, name="Cupboard"))
    one, two = (
        FilledPlaceFactory(
            site=site, name=f"Amplifier {number}", rack=rack, position_u=number * 2, ip=f"192.0.2.{number}"
        )
        for number in (1, 2)
    )
    bar, hall, stairs = (ZoneFactory(site=site, name=name) for name in ("Bar", "Hall", "Stairs"))
    low = LineFactory(site=site, name="L1 Bar", amplifier=one, channel="1")
    for order, label in enumerate(("LS-01", "LS-02"), start=1):
        unit = LoudspeakerFactory(site=site, label=label, zone=bar)
        CoilFactory(line=low, loudspeaker=unit, string="1", order=order, cable="1.5 mm2", cable_m=9.0)
    both = LoudspeakerFactory(site=site, label="LS-03", zone=hall)
    chain = LineFactory(site=site, name="L2 Hall", amplifier=one, channel="2", kind="100")
    for coil, tap in (("1", 10.0), ("2", None)):
        CoilFactory(
            line=chain, loudspeaker=both, coil=coil, string=coil, tap_w=tap, cable="", cable_m=None, plus="", minus=""
        )
    flagged = LineFactory(site=site, name="L3 Stairs", amplifier=two, channel="1", life_safety=YesNoUnknown.UNKNOWN)
    CoilFactory(line=flagged, loudspeaker=LoudspeakerFactory(site=site, label="LS-04", zone=stairs), string="1")
    for zone in (bar, hall, stairs):
        ReadingFactory(zone=zone)
    return site


@pytest.fixture
def frozen(site: Site) -> Site:
    """Mill Lane with its first baseline, frozen by a tech with a name."""
    BaselineFactory(site=site, by=UserFactory(username="t.tester", role=Role.TECH))
    return site
