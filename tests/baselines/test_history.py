"""A zone's readings and baselines become a chart."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from registry.audio.models import Zone
from registry.baselines.actions import correct_reading, freeze_baseline
from registry.baselines.history import MOST_READINGS, history_of
from registry.baselines.models import Reading
from registry.baselines.queries import recent_readings
from registry.drawings.history_chart import LevelHistory
from registry.engineering.measure import mean_and_uncertainty
from registry.equipment.models import State
from sites.models import Site, User

pytestmark = pytest.mark.django_db


def drawn(zone: Zone) -> LevelHistory:
    return history_of(zone, recent_readings([zone], MOST_READINGS)[zone.pk], zone.site.baselines.order_by("number"))


def test_readings_and_baselines_stand_in_the_chart_and_corrected_ones_do_not(site: Site, tech: User) -> None:
    zone = Zone.objects.select_related("site").get(name="Shop")
    correct_reading(by=tech, reading=Reading.objects.get(zone=zone), values={"level_db": 63.0})
    freeze_baseline(by=tech, site=site, reason="Commissioning")
    Reading.objects.create(
        zone=zone, state=State.AS_FOUND, level_db=64.0, taken_at=timezone.now() - timedelta(days=1), meter_class="2"
    )
    history = drawn(zone)
    assert [reading.level_db for reading in history.in_order] == [63.0, 64.0]
    assert history.in_order[0].on == date(2025, 6, 1)
    assert history.in_order[1].uncertainty_db == mean_and_uncertainty([64.0], "2").expanded_db
    (baseline,) = history.baselines
    assert (baseline.level_db, baseline.tolerance_db, baseline.name) == (63.0, 2.0, "1")


def test_a_baseline_without_a_level_of_the_zone_is_left_out(site: Site, tech: User) -> None:
    freeze_baseline(by=tech, site=site, reason="Commissioning")
    newer = Zone.objects.create(site=site, name="Cellar")
    assert drawn(newer).baselines == ()
