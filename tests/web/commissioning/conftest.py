"""North Hall with one line, one zone and one amplifier, and a run that is open there."""

import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, Zone
from registry.demo.factories import CoilFactory, FilledPlaceFactory, LineFactory, LoudspeakerFactory, ZoneFactory
from registry.equipment.models import Place
from registry.planning.commissioning import start_commissioning
from registry.planning.models import Commissioning, SpotPhoto
from registry.planning.photos import add_photo
from sites.models import Site, User

LEVEL = {"level_db": "62", "background_db": "45", "dial": "30", "cap": "100", "drive_v": "1.1", "meter": "Meter A"}


def picture(size: tuple[int, int] = (80, 60)) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "red").save(out, "JPEG")
    return out.getvalue()


def wired(site: Site, number: int) -> Line:
    """One more amplifier with a line of two loudspeakers of 8 Ω, 4 Ω and a little cable, in a zone of its own."""
    place = FilledPlaceFactory(site=site, name=f"Amplifier {number}")
    zone = ZoneFactory(site=site, name=f"Hall {number}", spot="")
    line = LineFactory(site=site, name=f"L{number}", amplifier=place)
    for label in "AB":
        unit = LoudspeakerFactory(site=site, label=f"LS-{number}{label}", zone=zone)
        CoilFactory(line=line, loudspeaker=unit, cable_m=1.0)
    refresh_verdicts(Line.objects.filter(pk=line.pk))
    return line


@pytest.fixture(autouse=True)
def media(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    return tmp_path / "media"


@pytest.fixture
def line(site: Site) -> Line:
    return wired(site, 1)


@pytest.fixture
def zone(line: Line) -> Zone:
    return line.site.zones.get()


@pytest.fixture
def place(line: Line) -> Place:
    return line.amplifier


@pytest.fixture
def run(line: Line, tech: User) -> Commissioning:
    return start_commissioning(by=tech, site=line.site)


@pytest.fixture
def photo(run: Commissioning, zone: Zone, tech: User) -> SpotPhoto:
    return add_photo(by=tech, commissioning=run, zone=zone, data=picture())
