"""North Hall with equipment of every sort: known, unknown, past its life, in two currencies; and what was found."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
import time_machine

from registry.demo.factories import (
    BaselineFactory,
    FilledPlaceFactory,
    ItemFactory,
    LoudspeakerFactory,
    LoudspeakerModelFactory,
    MakeModelFactory,
    PlaceFactory,
    PlacementFactory,
    ReadingFactory,
    ZoneFactory,
)
from registry.demo.factories.visits import FindingFactory, VisitFactory
from registry.equipment.models import Kind, MakeModel, Status
from registry.visits.models import ServiceCall, Visit
from sites.models import Site, User

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
TODAY = NOW.date()


@pytest.fixture(autouse=True)
def _now() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


def model(name: str, kind: str, price: str | None, life: float | None, **more: object) -> MakeModel:
    amount = None if price is None else Decimal(price)
    return MakeModelFactory(name=name, kind=kind, price=amount, life_years=life, **more)


def placed(site: Site, name: str, of: MakeModel, installed: date | None, **item: object) -> None:
    made = ItemFactory(site=site, make_model=of, make=of.make, tag=f"TAG-{name}", **item)
    PlacementFactory(place=PlaceFactory(site=site, name=name), item=made, installed_on=installed)


@pytest.fixture
def equipped(site: Site, tech: User) -> Site:
    """Five items in use, one spare, three loudspeakers; a zone that is out, one not measured."""
    ups = model("UP", Kind.UPS, "700.00", None)
    switch = model("SW", Kind.SWITCH, "1234.50", 8, support_until=date(2028, 6, 30))
    placed(site, "Battery", ups, date(2021, 1, 4))
    placed(site, "Switch", switch, date(2024, 3, 4), warranty_until=TODAY + timedelta(days=20))
    placed(site, "Player", model("PL", Kind.SOURCE, "330.00", 8, currency="USD"), None, status=Status.FAULTY)
    placed(site, "Box", model("BX", Kind.OTHER, None, None), date(2012, 5, 6))
    placed(site, "Amplifier", model("NA", Kind.AMPLIFIER, "640.00", None), date(2025, 2, 3), mac="02:00:5e:10:00:0b")
    ItemFactory(site=site, make_model=ups, make=ups.make, status=Status.SPARE)
    bar = ZoneFactory(site=site, name="Bar")
    hall = ZoneFactory(site=site, name="Hall")
    unit = LoudspeakerModelFactory(price=Decimal("90.00"), life_years=15)
    for number in range(3):
        LoudspeakerFactory(site=site, zone=bar, make_model=unit, label=f"LS-{number}")
    ReadingFactory(zone=bar, level_db=60.0, background_db=None, taken_at=NOW - timedelta(days=300))
    ReadingFactory(zone=hall, level_db=60.0, background_db=None, taken_at=NOW - timedelta(days=300))
    BaselineFactory(site=site)
    ReadingFactory(zone=bar, level_db=68.0, background_db=None, taken_at=NOW - timedelta(days=3))
    noted(site, tech)
    return site


def noted(site: Site, tech: User) -> None:
    """Findings, one of them internal; a visit; calls."""
    host = FilledPlaceFactory(site=site, name="Host", hostname="amp-one", ip="192.0.2.7")
    says = "Cover hangs loose, see 192.0.2.7 on amp-one"
    FindingFactory(site=site, says=says, severity="hazardous", place=host)
    FindingFactory(site=site, says="Owner is difficult", internal=True)
    closed = {"outcome": "exceptions", "why_not": "no ladder", "signature": "A. Tech"}
    VisitFactory(site=site, title="Yearly check", closed_at=NOW - timedelta(days=30), **closed)
    VisitFactory(site=site, title="Long ago", closed_at=NOW - timedelta(days=400), **closed)
    call(site, tech, minutes=25, caused_by="staff")
    call(site, tech, minutes=None, caused_by="nobody")


def call(site: Site, tech: User, *, minutes: int | None, caused_by: str) -> ServiceCall:
    """A closed call of last week."""
    return ServiceCall.objects.create(
        site=site,
        called_at=NOW - timedelta(days=7),
        says="Too loud",
        taken_by=tech,
        closed_at=NOW - timedelta(days=6),
        was="A dial was turned",
        mechanism="instrument",
        cause="operation",
        caused_by=caused_by,
        record_would_have_saved="yes",
        minutes=minutes,
    )


@pytest.fixture
def closed_visit(equipped: Site) -> Visit:
    return equipped.visits.get(title="Yearly check")
