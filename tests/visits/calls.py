"""A pub with two zones that can be judged: what the stories of calls are told about."""

from datetime import timedelta

from django.utils import timezone

from registry.baselines.actions import freeze_baseline
from registry.baselines.models import Baseline
from registry.demo.factories import (
    CoilFactory,
    ConfigurationRecordFactory,
    FilledPlaceFactory,
    LineFactory,
    LoudspeakerFactory,
    ReadingFactory,
    SettingFactory,
    ZoneFactory,
)
from registry.visits.models import ServiceCall
from registry.visits.suspecting import Suspicion, suspicion_of
from sites.models import Site, User

ENDED = {
    "was": "The dial stood at 20 %.",
    "mechanism": "instrument",
    "cause": "management",
    "caused_by": "staff",
    "minutes": 15,
    "record_would_have_saved": "yes",
}


def agreed_site(site: Site, by: User, *, zones: tuple[str, ...] = ("Bar", "Hall")) -> Baseline:
    """Each zone: an amplifier with its line of two loudspeakers, 62 dB over 40 dB, dial 50 %, cap 80 %, own source."""
    for number, name in enumerate(zones, start=1):
        zone = ZoneFactory(site=site, name=name, spot="P1", source=f"Stream {number}")
        place = FilledPlaceFactory(site=site, name=f"Amplifier {number}")
        line = LineFactory(site=site, name=f"L{number}", amplifier=place, life_safety="no")
        for letter in "AB":
            loudspeaker = LoudspeakerFactory(site=site, label=f"LS-{number}{letter}", zone=zone)
            CoilFactory(line=line, loudspeaker=loudspeaker, string=letter)
        ReadingFactory(zone=zone, level_db=62.0, background_db=40.0, dial=50.0, cap=80.0)
        record = ConfigurationRecordFactory(place=place, state="as left")
        for key, value in (("input", "network"), ("source", f"Stream {number}"), ("group", f"House {number}")):
            SettingFactory(record=record, key=key, value=value, unit="")
    before = timezone.now() - timedelta(days=100)
    return freeze_baseline(by=by, site=site, reason="Commissioning", with_exceptions=True, at=before)


def kinds(suspicion: Suspicion, first: int = 3) -> list[tuple[str, str]]:
    """Return kind and place of the faults in the first suspects."""
    return [(fault.kind, fault.where) for each in suspicion.ranked[:first] for fault in each.faults]


def suspected(call: ServiceCall) -> Suspicion:
    return suspicion_of(ServiceCall.objects.select_related("site").get(pk=call.pk))
