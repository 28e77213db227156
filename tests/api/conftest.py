"""North Hall again, with one row of every kind, and programs that hold tokens."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, time
from typing import Any

import pytest
from django.test import Client as Browser

from registry.api.throttling import StrangerThrottle
from registry.audio.loads import refresh_verdicts
from registry.audio.models import Coil, Line, Zone
from registry.baselines.models import Baseline, Reading, Restore
from registry.demo.factories import (
    BaselineFactory,
    CoilFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    LineFactory,
    LoudspeakerFactory,
    LoudspeakerModelFactory,
    MembershipFactory,
    RackFactory,
    ReadingFactory,
    SettingFactory,
    SiteFactory,
    SpaceFactory,
    UserFactory,
    ZoneFactory,
)
from registry.demo.factories.visits import FindingFactory, VisitFactory
from registry.equipment.models import Document
from registry.equipment.models.sweeps import NetworkSweep
from registry.planning.models import Commissioning, FoldPlan, LineMeasurement, Polarity
from registry.visits.models import CallNote, Holiday, MovedDate, PlanTask, ServiceCall, TaskKind, VisitPlan
from sites.models import Client, Role, Site, User
from sites.tokens import Issued, issue_token

THEN = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)


class Program(Browser):
    """Another program: it sends JSON with a token, and reads JSON."""

    def __init__(self, secret: str | None = None, **headers: Any) -> None:
        given = {"HTTP_AUTHORIZATION": f"Bearer {secret}"} if secret else {}
        super().__init__(raise_request_exception=False, **given, **headers)

    def send(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        """Send JSON; header names with underscores."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return self.generic(method, f"/api/v1/{path}", _json(body), content_type="application/json", headers=named)

    def read(self, path: str, **headers: str) -> Any:
        """Send a GET."""
        return self.get(f"/api/v1/{path}", headers={name.replace("_", "-"): value for name, value in headers.items()})

    def etag(self, path: str) -> str:
        """Return the validator of what is at a path now."""
        return str(self.read(path).headers["ETag"])


def _json(body: Any) -> str:
    return "" if body is None else body if isinstance(body, str) else json.dumps(body)


@pytest.fixture(autouse=True)
def nobody_was_refused_yet(db: None) -> None:
    StrangerThrottle.cache.clear()


@pytest.fixture
def manager(db: None) -> User:
    return UserFactory(username="manager", role=Role.MANAGER)


@pytest.fixture
def site(db: None) -> Site:
    return fill_site("north-hall", "North Ltd")


def fill_site(code: str, client: str) -> Site:
    """Record a site with one row of every kind."""
    site = SiteFactory(client__name=client, code=code, name=code, voice_alarm="no")
    space = SpaceFactory(site=site, name="Hall")
    rack = RackFactory(site=site, name="Rack A", space=space)
    zone = ZoneFactory(site=site, name="Bar", space=space, spot="P1 by the till")
    add_line(site, zone, rack)
    add_facts(site, zone)
    add_work(site)
    return site


def add_line(site: Site, zone: Zone, rack: Any, name: str = "Bar line") -> Line:
    """Record an amplifier in a rack and two loudspeakers on a line that is free of life safety."""
    place = FilledPlaceFactory(site=site, name=f"Amplifier of {name}", rack=rack, position_u=None)
    line = LineFactory(site=site, name=name, amplifier=place, life_safety="no")
    for label in ("LS-1", "LS-2"):
        unit = LoudspeakerFactory(site=site, zone=zone, label=f"{name} {label}", make_model=LoudspeakerModelFactory())
        CoilFactory(line=line, loudspeaker=unit, string=label, cable_m=0.0)
    refresh_verdicts(Line.objects.filter(pk=line.pk))
    record = ConfigurationRecordFactory(place=place, taken_at=THEN)
    SettingFactory(record=record, key="gain", value="-6", unit="dB")
    return line


def add_facts(site: Site, zone: Zone) -> None:
    """Record a reading, a baseline with its restore, a plan, a commissioning and a measurement."""
    author = UserFactory(username=f"author-{site.code}", role=Role.TECH)
    reading: Reading = ReadingFactory(zone=zone, taken_at=THEN, level_db=70.0)
    baseline: Baseline = BaselineFactory(site=site, by=author)
    Restore.objects.create(site=site, baseline=baseline, started_by=author, started_at=THEN)
    FoldPlan.objects.create(site=site, number=1, title="Two", author=author, saved_at=THEN, content={"a": 1})
    Commissioning.objects.create(site=site, started_by=author, started_at=THEN)
    line = Coil.objects.filter(loudspeaker__zone=reading.zone).first().line  # type: ignore[union-attr]
    LineMeasurement.objects.create(line=line, taken_at=THEN, polarity=Polarity.OK, recorded_by=author)


def add_work(site: Site) -> None:
    """Record a plan with what bends it, a visit, a finding, a call with a note, a document and a sweep."""
    tech = UserFactory(username=f"tech-{site.code}", role=Role.TECH)
    values = {"site": site, "name": "Yearly", "rule": "FREQ=YEARLY", "starts_on": THEN.date(), "starts_at": time(9)}
    plan = VisitPlan.objects.create(tech=tech, **values)
    PlanTask.objects.create(plan=plan, kind=TaskKind.FILTERS)
    MovedDate.objects.create(plan=plan, site=site, date=THEN.date(), reason="Stocktaking")
    Holiday.objects.create(site=site, date=THEN.date(), name="Founding day")
    VisitFactory(site=site, tech=tech)
    FindingFactory(site=site)
    told = {"caller": "Ada", "phone": "555 0100", "says": "Silence"}
    call = ServiceCall.objects.create(site=site, called_at=THEN, taken_by=tech, **told)
    CallNote.objects.create(call=call, says="Loud", written_by=tech, written_at=THEN)
    paper = {"title": "Wiring", "kind": "manual", "file": "documents/a", "name": "a.pdf", "size": 1}
    Document.objects.create(site=site, for_owner=True, **paper)
    NetworkSweep.objects.create(site=site, swept_at=THEN, source="sweep.csv", recorded_by=tech)


@pytest.fixture
def issue(manager: User) -> Callable[..., Issued]:
    """Hand out a token."""

    def issued(**values: Any) -> Issued:
        values = {"name": f"Program {values}", "every_client": not values.get("clients")} | values
        return issue_token(by=manager, **values)

    return issued


@pytest.fixture
def writer(issue: Callable[..., Issued]) -> Program:
    """May write everywhere."""
    return Program(issue(may_write=True).secret)


@pytest.fixture
def reader(issue: Callable[..., Issued]) -> Program:
    """May read everywhere."""
    return Program(issue().secret)


@pytest.fixture
def owner(site: Site) -> User:
    return MembershipFactory(user=UserFactory(username="owner", role=Role.OWNER), client=site.client).user


@pytest.fixture
def stranger(db: None) -> User:
    client = Client.objects.create(name="South Ltd")
    SiteFactory(client=client, code="south-barn")
    return MembershipFactory(user=UserFactory(username="stranger", role=Role.OWNER), client=client).user
