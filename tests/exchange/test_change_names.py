"""A preview names what it refers to, and a new tolerance is judged without a new level."""

import pytest

from registry.audio.models import Drift, Zone
from registry.baselines.actions import freeze_baseline, record_readings
from registry.demo.factories import UserFactory
from registry.exchange.importing import import_survey
from sites.models import Site
from sites.put import Batch
from tests.exchange.small_survey import edited, survey

pytestmark = pytest.mark.django_db


def test_references_change_by_name(db: None) -> None:
    import_survey(survey(), by=None)
    moved = edited("lines", "LS4,Make B,C6,,5,Yard", "LS4,Make B,C6,,5,Shop")
    changes = import_survey(moved, by=None, dry_run=True).changes
    assert [(change.what, change.fields) for change in changes] == [("loudspeaker", (("zone", "Yard", "Shop"),))]


def test_a_tolerance_from_a_survey_is_judged_at_once(db: None) -> None:
    import_survey(survey(), by=None)
    tech, site = UserFactory(), Site.objects.get()
    freeze_baseline(by=tech, site=site, reason="Commissioning")
    zone = Zone.objects.get(name="Shop")
    before = zone.readings.get()
    key = (zone.pk, "as found", before.taken_at.replace(month=7))
    facts = {name: getattr(before, name) for name in ("spot", "meter", "meter_class", "track", "background_db")}
    record_readings(
        Batch(by=tech), {key: facts | {"zone_id": zone.pk, "state": key[1], "taken_at": key[2], "level_db": 66.5}}
    )
    assert Zone.objects.get(pk=zone.pk).drift == Drift.OUT
    import_survey(edited("zones", "P1 by the till,50,2", "P1 by the till,50,8"), by=None)
    assert Zone.objects.get(pk=zone.pk).drift == Drift.WITHIN
