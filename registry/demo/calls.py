"""The garden centre's calls: one that was solved by phone, one that came in this morning."""

from datetime import datetime, timedelta
from typing import Final

from django.utils import timezone

from registry.audio.models import Zone
from registry.visits.calling import close_call, note_call, take_call
from registry.visits.models import Cause, CausedBy, Mechanism
from registry.visits.sayings import Said
from sites.models import Site, User, YesNoUnknown

TOO_LOUD: Final = {
    "caller": "Shop manager",
    "phone": "01632 960118",
    "says": "The music in the gift room is far too loud, people leave again. Everything else is fine.",
    "since": "since Saturday",
    "changed": "new manager or staff",
}
NO_MUSIC: Final = {
    "caller": "Café manager",
    "phone": "01632 960142",
    "says": "No music in the café and nothing on the café terrace either. At the tills it is fine.",
    "since": "since we opened this morning",
    "changed": "power cut; the electrician was here yesterday evening",
}


def take_calls(site: Site, *, by: User) -> None:
    """Let somebody call six weeks ago, and two hours ago."""
    now = timezone.now().replace(second=0, microsecond=0)
    _solved_by_phone(site, by, now - timedelta(days=41, hours=3))
    _open(site, by, now - timedelta(hours=2))


def _solved_by_phone(site: Site, by: User, at: datetime) -> None:
    call = take_call(
        by=by,
        site=site,
        values=TOO_LOUD,
        called_at=at,
        answered_at=at + timedelta(minutes=4),
        zones=Zone.objects.filter(site=site, name="Gift room"),
        said=[Said("louder", zone="Gift room"), Said("as usual", zone="Shop floor"), Said("as usual", zone="Tills")],
    )
    values = {
        "was": "The dial of the gift room stood at 80 % instead of 50 %; put back while we spoke.",
        "mechanism": Mechanism.INSTRUMENT,
        "cause": Cause.MANAGEMENT,
        "caused_by": CausedBy.STAFF,
        "minutes": 12,
        "record_would_have_saved": YesNoUnknown.YES,
        "restored_at": at + timedelta(minutes=14),
    }
    closed = close_call(by=by, call=call, values=values, at=at + timedelta(minutes=16))
    says = "The new shop manager was sent the door card: it says where each dial belongs."
    note_call(by=by, call=closed, says=says, at=at + timedelta(days=1))


def _open(site: Site, by: User, at: datetime) -> None:
    call = take_call(
        by=by,
        site=site,
        values=NO_MUSIC,
        called_at=at,
        answered_at=at + timedelta(minutes=1),
        zones=Zone.objects.filter(site=site, name__in=["Café", "Café terrace"]),
        said=[Said("silent", zone="Café"), Said("as usual", zone="Tills")],
    )
    says = "They say the lights of amplifier 2 are on. They will look at the outdoor plants and ring back."
    note_call(by=by, call=call, says=says, at=at + timedelta(minutes=9))
