"""Factories of what is recorded once: settings, readings, baselines."""

from datetime import UTC, datetime, timedelta
from typing import Any

from factory.declarations import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Baseline, MeterClass, Reading
from registry.demo import words
from registry.demo.factories.audio import ZoneFactory
from registry.demo.factories.equipment import PlaceFactory
from registry.demo.factories.places import SiteFactory, UserFactory
from registry.equipment.models import ConfigurationRecord, Setting, State

START = datetime(2024, 3, 4, 8, 0, tzinfo=UTC)


def moment(number: int) -> datetime:
    """Return a time of its own for every number, later for higher ones."""
    return START + timedelta(minutes=number)


class ConfigurationRecordFactory(DjangoModelFactory[ConfigurationRecord]):
    """A record without settings, each a minute later than the one before."""

    class Meta:
        """Table."""

        model = ConfigurationRecord

    place = SubFactory(PlaceFactory)
    state = State.AS_LEFT
    taken_at = Sequence(moment)


class SettingFactory(DjangoModelFactory[Setting]):
    """A volume of 40 %."""

    class Meta:
        """Table."""

        model = Setting

    record = SubFactory(ConfigurationRecordFactory)
    key = "volume"
    value = "40"
    unit = "%"


class ReadingFactory(DjangoModelFactory[Reading]):
    """62 dB with all that makes it repeatable, each a minute later than the one before. It refreshes no drift."""

    class Meta:
        """Table."""

        model = Reading

    zone = SubFactory(ZoneFactory)
    state = State.AS_LEFT
    taken_at = Sequence(moment)
    dial = 50.0
    cap = 60.0
    level_db = 62.0
    spot = SelfAttribute("zone.spot")
    meter = words.METER
    meter_class = MeterClass.CLASS_2
    track = words.TRACK


class BaselineFactory(DjangoModelFactory[Baseline]):
    """The site's present state, frozen by the action that people use, with whatever exceptions there are."""

    class Meta:
        """Table."""

        model = Baseline

    site = SubFactory(SiteFactory)
    by = SubFactory(UserFactory)
    reason = "Commissioning"

    @classmethod
    def _create(cls, model_class: type[Baseline], *args: Any, **kwargs: Any) -> Baseline:
        """Freeze instead of inserting: a baseline's content is never made up."""
        return freeze_baseline(**{"with_exceptions": True} | kwargs)
