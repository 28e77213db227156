"""What the database itself refuses about lines and loudspeakers."""

import pytest
from django.db import IntegrityError, transaction

from registry.demo.factories import CoilFactory, LineFactory, LoudspeakerFactory, ZoneFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("case", ["coil", "channel", "label", "kind", "verdict", "zone"])
def test_the_database_refuses(case: str) -> None:
    coil = CoilFactory()
    line, loudspeaker = coil.line, coil.loudspeaker
    attempts = {
        "coil": lambda: CoilFactory(loudspeaker=loudspeaker, line=LineFactory(site=line.site), coil="1"),
        "channel": lambda: LineFactory(site=line.site, amplifier=line.amplifier, channel=line.channel),
        "label": lambda: LoudspeakerFactory(site=line.site, zone=loudspeaker.zone, label=loudspeaker.label),
        "kind": lambda: LineFactory(kind="70"),
        "verdict": lambda: LineFactory(verdict="fine"),
        "zone": lambda: ZoneFactory(site=line.site, name=loudspeaker.zone.name),
    }
    with pytest.raises(IntegrityError), transaction.atomic():
        attempts[case]()


def test_the_second_coil_of_a_loudspeaker_may_hang_on_another_line() -> None:
    coil = CoilFactory()
    other = CoilFactory(loudspeaker=coil.loudspeaker, line=LineFactory(site=coil.line.site), coil="2")
    assert other.line != coil.line
