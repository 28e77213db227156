"""The door card: one page for the site's staff, in their words, from the newest baseline."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any, Final

from registry.audio.models import Zone
from registry.baselines.models import Baseline
from registry.baselines.queries import newest_baselines
from registry.baselines.restoring import sheet_of
from registry.reports.pdf import Template, pdf_of
from registry.reports.qr import qr_code
from registry.reports.wording import SHORT_FORM, day
from sites.models import Site, YesNoUnknown

GLOSSES: Final = (
    "Control: the knob or slider for how loud one area is.",
    "Default position: where that control belongs.",
)
CAP: Final = "The cap: the upper limit of a control, set by measuring. It is not yours to change."
DOOR: Final = "Everything else behind this door: plugs, cables, switches. Mains electricity inside: never reach in."
FIRE: Final = "Fire alarm and emergency announcements: never alter, silence or unplug any part of them."
VOICE_ALARM: Final = "Emergency announcements may come from these loudspeakers. Never switch anything off."
HOT: Final = "Hot, smoking or smelling? Keep away, and call."


@dataclass(frozen=True, slots=True)
class ZonePosition:
    """A zone and where its control belongs."""

    zone: str
    position: str


@dataclass(frozen=True, slots=True)
class DoorCard:
    """All that stands on the card. `position` is what all zones share, empty when they differ or there is none."""

    site: str
    code: str
    baseline: int
    frozen_at: datetime
    frozen_on: str
    position: str
    zones: tuple[ZonePosition, ...]
    contact: str
    phone: str
    leave_alone: tuple[str, ...]

    @property
    def headline(self) -> str:
        """What to do, in one sentence."""
        if not self.zones:
            return "Leave every control as it is."
        return "Put every control at its default position" + (f": {self.position}." if self.position else ".")


def door_card_of(site: Site) -> DoorCard | None:
    """Return the site's door card, or None while it has no baseline: nobody has agreed where the controls belong."""
    baseline = newest_baselines([site.pk]).get(site.pk)
    if baseline is None:
        return None
    excluded = {group.name for group in sheet_of(baseline) if group.subject == "zone" and group.excluded}
    frozen = baseline.content["zones"]
    known = {name: zone for name, zone in sorted(frozen.items()) if name not in excluded}
    zones = tuple(ZonePosition(name, _position(zone)) for name, zone in known.items() if _is_set(zone))
    positions = {zone.position for zone in zones}
    return DoorCard(
        site=site.name,
        code=site.code,
        baseline=baseline.number,
        frozen_at=baseline.frozen_at,
        frozen_on=day(baseline.frozen_at.astimezone(site.zone_info).date()),
        position=positions.pop() if len(positions) == 1 else "",
        zones=zones,
        contact=site.client.contact,
        phone=site.client.phone,
        leave_alone=_leave_alone(site, baseline, excluded),
    )


def _is_set(zone: Mapping[str, Any]) -> bool:
    return zone["default_position"] is not None


def _position(zone: Mapping[str, Any]) -> str:
    return f"{zone['default_position']:g} %"


def _leave_alone(site: Site, baseline: Baseline, excluded: set[str]) -> tuple[str, ...]:
    """Name what is not for staff, the controls without an agreed position among it."""
    frozen = baseline.content["zones"]
    now = set(Zone.objects.filter(site=site).values_list("name", flat=True))
    emergency = sorted(excluded)
    open_ended = sorted({*(now - frozen.keys()), *(name for name in frozen if not _is_set(frozen[name]))} - excluded)
    said = [FIRE]
    if site.voice_alarm != YesNoUnknown.NO:
        said.append(VOICE_ALARM)
    if emergency:
        said.append(f"{', '.join(emergency)}: may be part of the emergency system. Leave the control as it is.")
    if open_ended:
        said.append(f"{', '.join(open_ended)}: nothing is agreed yet. Leave the control as it is.")
    return (*said, CAP, DOOR)


def door_card_pdf(card: DoorCard, *, address: str) -> bytes:
    """Return the card as one A4 page; its QR code holds `address`, the site's page.

    Raises UnprintableError when the zones don't fit in type that can be read.
    """
    data = asdict(card)
    del data["frozen_at"]
    shown = {
        "headline": card.headline,
        "glosses": GLOSSES,
        "hot": HOT,
        "qr": qr_code(address).svg,
        "short_form": SHORT_FORM,
    }
    return pdf_of(Template.DOOR_CARD, data | shown, dated=card.frozen_at)
