"""Lines that swap or give up channels: nothing collides on the way, what is empty is retired, the rest is refused."""

import pytest

from registry.audio.actions import put_lines
from registry.audio.models import Line
from registry.audio.retiring import give_up_channels, retire_lines
from registry.demo.factories import CoilFactory, FilledPlaceFactory, LineFactory, SiteFactory, UserFactory
from registry.planning.models import LineMeasurement
from sites.models import Site, User
from sites.put import Batch, RefusedError


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory()


@pytest.fixture
def site(db: None) -> Site:
    return SiteFactory()


def test_a_line_that_moves_steps_aside_from_a_channel_named_like_its_own_id(site: Site) -> None:
    place, other = FilledPlaceFactory(site=site), FilledPlaceFactory(site=site)
    first = LineFactory(site=site, amplifier=place, channel="A")
    # Another line hangs on the channel whose name is the first one's id.
    LineFactory(site=site, amplifier=place, channel=str(first.pk))
    row = {"site_id": site.pk, "name": first.name, "amplifier_id": other.pk, "channel": "1", "kind": "low"}
    put_lines(Batch(by=None), {(site.pk, first.name): row})
    first.refresh_from_db()
    assert (first.amplifier_id, first.channel) == (other.pk, "1")


def test_two_lines_swap_their_channels(site: Site) -> None:
    place = FilledPlaceFactory(site=site)
    lines = [LineFactory(site=site, amplifier=place, channel=channel) for channel in "12"]
    rows = {
        (site.pk, line.name): {"site_id": site.pk, "name": line.name, "amplifier_id": place.pk, "channel": channel}
        for line, channel in zip(lines, "21", strict=True)
    }
    put_lines(Batch(by=None), rows)
    assert list(Line.objects.order_by("pk").values_list("channel", flat=True)) == ["2", "1"]


def test_an_empty_line_leaves_the_register_and_its_history_says_who(site: Site, tech: User) -> None:
    line = LineFactory(site=site)
    assert retire_lines(by=tech, site=site, names=[line.name]) == [line.name]
    assert not Line.objects.exists()
    last = Line.history.latest("history_date")
    assert (last.name, last.history_type, last.history_user) == (line.name, "-", tech)


def test_a_line_with_a_loudspeaker_is_not_retired(site: Site, tech: User) -> None:
    line = CoilFactory(line__site=site).line
    with pytest.raises(RefusedError, match="still has a loudspeaker"):
        retire_lines(by=tech, site=site, names=[line.name])
    assert Line.objects.count() == 1


@pytest.mark.parametrize("answer", ["yes", "unknown"])
def test_a_line_that_may_serve_life_safety_neither_steps_aside_nor_retires(site: Site, tech: User, answer: str) -> None:
    line = LineFactory(site=site, life_safety=answer)
    with pytest.raises(RefusedError, match="life-safety"):
        give_up_channels(site=site, names=[line.name])
    with pytest.raises(RefusedError, match="life-safety"):
        retire_lines(by=tech, site=site, names=[line.name])
    assert Line.objects.get().channel == line.channel


def test_a_line_that_was_measured_stays_empty_and_says_which_channel_it_had(site: Site, tech: User) -> None:
    line = LineFactory(site=site, channel="7")
    LineMeasurement.objects.create(
        line=line, taken_at=line.history.latest().history_date, impedance_ohm=8.0, frequency_hz=1000.0, recorded_by=tech
    )
    give_up_channels(site=site, names=[line.name])
    assert retire_lines(by=tech, site=site, names=[line.name]) == []
    assert Line.objects.get().channel == f"was 7 ({line.pk})"
