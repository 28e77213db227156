"""The factories make rows that the models themselves find valid, and the same ones each time."""

from typing import Any

import pytest

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Drift, Line, Zone
from registry.baselines.drift import refresh_drift
from registry.demo import factories
from registry.demo.words import word
from registry.equipment.models import Place
from sites.models import Site

NAMES = sorted(factories.__all__)


@pytest.mark.django_db
@pytest.mark.parametrize("name", NAMES)
def test_two_of_each_are_valid_and_differ(name: str) -> None:
    factory = getattr(factories, name)
    first, second = factory(), factory()
    for made in (first, second):
        # Who recorded a fact may be unknown in the table, yet forms ask for it.
        made.full_clean(exclude=["recorded_by", "content"])
    assert first.pk != second.pk


@pytest.mark.parametrize("name", sorted(set(NAMES) - {"BaselineFactory"}))
def test_the_same_calls_give_the_same_names(name: str) -> None:
    built = []
    for _ in range(2):
        for other in NAMES:
            getattr(factories, other).reset_sequence(7, force=True)
        built.append(_plain(getattr(factories, name).build()))
    assert built[0] == built[1]


def _plain(made: Any) -> dict[str, Any]:
    fields = [field for field in made._meta.concrete_fields if not field.is_relation and field.name != "password"]
    return {field.name: getattr(made, field.attname) for field in fields if "date_joined" not in field.name}


@pytest.mark.django_db
def test_a_coil_brings_everything_of_one_site_and_nothing_twice() -> None:
    coil = factories.CoilFactory()
    line = coil.line
    assert {line.site, line.amplifier.site, coil.loudspeaker.site, coil.loudspeaker.zone.site} == {line.site}
    assert Site.objects.count() == 1
    factories.LineFactory(site=line.site, amplifier=line.amplifier, channel="2")
    assert Place.objects.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize(("strings", "verdict"), [(2, "pass"), (3, "fail")])
def test_the_amplifier_takes_two_of_8_ohm_in_parallel_and_not_three(strings: int, verdict: str) -> None:
    # Parallel equal resistors, R/n (OpenStax, College Physics 2e, 21.1): 4 Ω and 2.67 Ω on a channel that allows 4 Ω.
    line = factories.LineFactory()
    model = factories.LoudspeakerModelFactory()
    for _ in range(strings):
        factories.CoilFactory(line=line, loudspeaker__make_model=model, cable_m=0.0)
    refresh_verdicts(Line.objects.all())
    line.refresh_from_db()
    assert line.verdict == verdict


@pytest.mark.django_db
def test_readings_count_up_in_time_so_that_the_one_after_a_baseline_is_compared_with_it() -> None:
    zone = factories.ZoneFactory(tolerance_db=2.0)
    first = factories.ReadingFactory(zone=zone)
    baseline = factories.BaselineFactory(site=zone.site)
    assert baseline.content["zones"][zone.name]["level_db"] == first.level_db
    factories.ReadingFactory(zone=zone, level_db=first.level_db + 6.0)
    refresh_drift(Zone.objects.all())
    zone.refresh_from_db()
    assert (zone.drift, zone.drift_db) == (Drift.OUT, 6.0)


def test_a_word_list_that_runs_out_goes_on_with_a_count() -> None:
    names = [word(("Hall", "Yard"), number) for number in range(6)]
    assert len(set(names)) == 6
