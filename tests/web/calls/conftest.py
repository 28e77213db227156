"""North Hall with a baseline and an open call about its bar; and one that was closed by phone."""

import pytest
from django.utils import timezone

from registry.demo.factories import LoudspeakerFactory
from registry.visits.calling import close_call, note_call, take_call
from registry.visits.models import ServiceCall
from registry.visits.sayings import Said
from sites.models import Site, User
from tests.visits.calls import ENDED, agreed_site

TOLD = {
    "caller": "Sam at the bar",
    "phone": "01632 960100",
    "says": "No music in the bar, the hall is fine",
    "since": "this morning",
    "changed": "power cut; the plumber was here",
}


@pytest.fixture
def agreed(site: Site, tech: User) -> Site:
    site.access_notes = "Side door; the landlord holds the keys."
    site.save()
    agreed_site(site, tech)
    LoudspeakerFactory(site=site, label="LS-9", zone=site.zones.get(name="Hall"))
    return site


@pytest.fixture
def call(agreed: Site, tech: User) -> ServiceCall:
    bar = agreed.zones.get(name="Bar")
    said = [Said("as usual", zone="Hall")]
    return take_call(by=tech, site=agreed, values=TOLD, zones=[bar], said=said, answered_at=timezone.now())


@pytest.fixture
def closed(call: ServiceCall, tech: User) -> ServiceCall:
    note_call(by=tech, call=call, says="The landlord is difficult.")
    return close_call(by=tech, call=call, values=ENDED | {"restored_at": timezone.now()})
