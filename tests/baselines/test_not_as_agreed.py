"""Freezing names what nobody agreed to: drifted zones, zones and settings that were found but never left."""

import pytest

from registry.audio.models import Zone
from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Baseline, Reading
from registry.baselines.not_as_agreed import exceptions_of, not_as_agreed
from registry.baselines.queries import newest_baselines
from registry.baselines.site_rows import rows_of
from registry.baselines.snapshot import content_of, differences, site_now
from registry.equipment.models import Place, State
from registry.exchange.importing import import_survey
from sites.models import Site, User
from tests.baselines.test_freeze import read_again
from tests.exchange.small_survey import survey

pytestmark = pytest.mark.django_db


@pytest.fixture
def baseline(site: Site, tech: User) -> Baseline:
    return freeze_baseline(by=tech, site=site, reason="Commissioning")


def told_of(site: Site) -> list[str]:
    return not_as_agreed(rows_of(site), newest_baselines([site.pk]).get(site.pk))


def test_a_fresh_site_that_was_left_has_no_exceptions(site: Site) -> None:
    rows = rows_of(site)
    assert exceptions_of(rows, content_of(rows), None) == []


def test_a_first_baseline_of_levels_that_were_only_found_says_so(site: Site) -> None:
    read_again("62.6")
    assert told_of(site) == ["Zone Shop was last read as found, not as left: nobody has set it to this level."]


@pytest.mark.parametrize(
    ("level", "told"),
    [
        ("67.5", "Zone Shop is out of tolerance against baseline 1 (+5.0 dB): freezing makes that the agreed level."),
        # 10 lg(10^5.75 − 10^4.5) − 62.5: corrected for the background only where it is within 15 dB, ISO 3744, 8.2.3
        ("57.5", "Zone Shop is out of tolerance against baseline 1 (−5.3 dB): freezing makes that the agreed level."),
        ("64.5", "Zone Shop is undecided against baseline 1 (+2.0 dB): freezing makes that the agreed level."),
    ],
)
def test_a_fault_is_not_agreed_to_silently(site: Site, tech: User, baseline: Baseline, level: str, told: str) -> None:
    read_again(level)
    with pytest.raises(ValueError, match="missing or not as agreed: Zone Shop is"):
        freeze_baseline(by=tech, site=site, reason="Again")
    assert Baseline.objects.get() == baseline
    second = freeze_baseline(by=tech, site=site, reason="Louder, as agreed", with_exceptions=True)
    assert second.exceptions[0] == told


def test_a_level_that_the_background_hides_is_undecided_without_a_figure(site: Site, baseline: Baseline) -> None:
    read_again("62.6", background_db="60")
    assert told_of(site)[0].startswith("Zone Shop is undecided against baseline 1: freezing")


def test_a_level_that_was_left_within_tolerance_is_no_exception(site: Site, tech: User, baseline: Baseline) -> None:
    found = Reading.objects.get(zone__name="Shop")
    facts = {name: getattr(found, name) for name in ("dial", "cap", "background_db", "spot", "meter", "meter_class")}
    zone = Zone.objects.get(name="Shop")
    Reading.objects.create(
        zone=zone, state=State.AS_LEFT, taken_at=baseline.frozen_at, level_db=62.6, track=found.track, **facts
    )
    assert told_of(site) == []


@pytest.mark.parametrize(
    ("state", "value", "told"),
    [
        ("as found", "-4", ["bass -4 dB instead of -2 dB"]),
        ("as found", "-2", []),  # found as it was agreed
        ("as left", "-4", []),  # set on purpose
    ],
)
def test_settings_that_were_found_and_differ_are_named(
    site: Site, baseline: Baseline, state: str, value: str, told: list[str]
) -> None:
    later = f"acre,Amplifier 1,{state},2025-09-01T10:00,bass,{value},dB\n"
    import_survey({"settings.csv": (survey()["settings.csv"].decode() + later).encode()}, by=None)
    expected = [f"Amplifier 1 was found, not left, with {each} in baseline 1: freezing agrees to it." for each in told]
    assert told_of(site) == expected


def test_the_number_that_was_promised_is_kept_or_nothing_is_frozen(site: Site, tech: User, baseline: Baseline) -> None:
    assert freeze_baseline(by=tech, site=site, reason="Again", number=2).number == 2
    with pytest.raises(ValueError, match=f"baseline 2 was frozen meanwhile by {tech}: look at it, then freeze 3"):
        freeze_baseline(by=tech, site=site, reason="Again", number=2)
    with pytest.raises(ValueError, match="the next baseline of this site is 3, not 9"):
        freeze_baseline(by=tech, site=site, reason="Again", number=9)
    assert Baseline.objects.count() == 2


def test_rack_and_address_are_frozen_and_a_change_is_told(site: Site, baseline: Baseline) -> None:
    frozen = baseline.content["places"]["Amplifier 1"]
    assert [frozen[key] for key in ("rack", "position_u", "ip", "hostname")] == ["A", 3, "192.0.2.10", "amp1"]
    Place.objects.filter(name="Amplifier 1").update(ip="192.0.2.99")
    found = [(each.key, each.before, each.after) for each in differences(baseline.content, site_now(site))]
    assert found == [("ip", "192.0.2.10", "192.0.2.99")]


def test_an_older_baseline_that_never_held_addresses_does_not_differ_in_them(site: Site, baseline: Baseline) -> None:
    older = baseline.content
    for key in ("rack", "position_u", "ip", "hostname"):
        del older["places"]["Amplifier 1"][key]
    assert differences(older, site_now(site)) == []
    assert differences(site_now(site), older) == []
