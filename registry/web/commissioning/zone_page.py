"""What the page of a zone shows: its spot and photos, as found, matching with its trials, as left."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms import BaseForm

from registry.audio.models import Line, Zone
from registry.audio.queries import coils_visible_to, lines_visible_to, zones_visible_to
from registry.baselines.models import Reading
from registry.baselines.queries import newest_baselines, readings_visible_to
from registry.engineering.exposure import exposure_caution
from registry.planning.commissioning_queries import spot_photos_visible_to
from registry.planning.matching import Heard, Proposal
from registry.planning.models import Commissioning, Trial, ZoneTarget
from registry.planning.zone_matching import heard_so_far, off_target, proposal_for
from registry.web.access import visible
from registry.web.commissioning import cautions
from registry.web.commissioning.forms import AcceptForm, CommissioningReadingForm, PhotoForm, SpotForm, WantedForm
from registry.web.commissioning.here import Here, Refused, StepRow
from sites.models import User

METER = ("meter", "meter_class")


@dataclass(frozen=True, slots=True)
class TrialRow:
    """A reading taken while matching, and how far it is from the wanted level."""

    number: int
    trial: Trial
    distance_db: float | None
    within: bool

    @property
    def distance(self) -> str:
        """The distance as people read it: 1.2 dB above."""
        size = f"{abs(self.distance_db or 0.0):.1f}"
        return "on it" if size == "0.0" else f"{size} dB {'above' if (self.distance_db or 0.0) > 0 else 'below'}"


@dataclass(frozen=True, slots=True)
class ZoneWork:
    """All that was read of a zone in this run."""

    zone: Zone
    found: Reading | None
    trials: Sequence[Trial]
    target: ZoneTarget | None
    left: Reading | None
    proposal: Proposal | None

    @property
    def rows(self) -> list[TrialRow]:
        """The trials with their distance from the wanted level."""
        return [self._row(number, trial) for number, trial in enumerate(self.trials, start=1)]

    def _row(self, number: int, trial: Trial) -> TrialRow:
        told = off_target(self.target, trial) if self.target else None
        return TrialRow(number, trial, told[0] if told else None, bool(told and told[1]))

    @property
    def locked(self) -> bool:
        """Whether a reading as found is refused, by what was read: see `as_found_is_locked`."""
        return bool(self.trials or self.left)

    @property
    def loudest(self) -> float:
        """The highest level that was read or is wanted here."""
        levels = [reading.level_db for reading in (self.found, *self.trials) if reading and reading.level_db]
        return max([*levels, (self.target and self.target.wanted_db) or 0.0])


def zone_page(user: User, at: Here, refused: Refused) -> dict[str, Any]:
    """Return the context of a zone's page in a run. A constant number of queries."""
    zone = visible(zones_visible_to(user), pk=at.stop.pk)
    rows = {word: at.row(word, refused) for word in ("spot", "as found", "as left")}
    work = _work(at.run, zone, rows)
    return {
        "zone": zone,
        "work": work,
        "spot": rows["spot"],
        "found": rows["as found"],
        "left": rows["as left"],
        "photos": list(spot_photos_visible_to(user).filter(zone=zone)),
        "accepted": bool(work.left and work.trials and work.left.taken_at == work.trials[-1].taken_at),
        "locked": work.locked,
        "cautions": cautions.at_zone(_lines(user, zone)),
        "exposure": exposure_caution(work.loudest),
        **_forms(user, at.run, work, rows, refused),
    }


def _lines(user: User, zone: Zone) -> list[Line]:
    coils = coils_visible_to(user).filter(loudspeaker__zone=zone)
    return list(lines_visible_to(user).filter(pk__in=coils.values("line")))


def _work(run: Commissioning, zone: Zone, rows: Mapping[str, StepRow | None]) -> ZoneWork:
    found, left = (_reading(rows[word]) for word in ("as found", "as left"))
    trials = list(run.trials.filter(zone=zone).select_related("recorded_by"))
    target = run.targets.filter(zone=zone).select_related("zone", "changed_by").first()
    proposal = proposal_for(zone, heard_so_far(found, trials), target.wanted_db if target else None)
    return ZoneWork(zone, found, trials, target, left, proposal)


def _reading(row: StepRow | None) -> Reading | None:
    return row.answer.reading if row and row.answer else None


def _forms(
    user: User, run: Commissioning, work: ZoneWork, rows: Mapping[str, StepRow | None], refused: Refused
) -> dict[str, BaseForm]:
    seen = {word: {"seen": row.seen if row else ""} for word, row in rows.items()}
    meter = _meter(user, run, work)
    unsent: dict[str, BaseForm] = {
        "spot_form": SpotForm(initial={"spot": work.zone.spot} | seen["spot"]),
        "photo_form": PhotoForm(),
        "found_form": CommissioningReadingForm(initial=meter | seen["as found"]),
        "wanted_form": WantedForm(initial={"wanted_db": _wanted(run, work)}),
        "trial_form": CommissioningReadingForm(initial=meter | _next_reading(work)),
        "accept_form": AcceptForm(initial={"trial": work.trials[-1].pk if work.trials else None} | seen["as left"]),
    }
    forms = {name: refused.get(name, form) for name, form in unsent.items()}
    for name, form in forms.items():
        form.auto_id = f"{name.replace('_', '-')}-%s"
    return forms


def _meter(user: User, run: Commissioning, work: ZoneWork) -> dict[str, Any]:
    """The meter of the last reading at this site, in this run or before."""
    before: Reading | Trial | None = work.trials[-1] if work.trials else work.found
    if before is None:
        read = readings_visible_to(user).filter(zone__site=run.site_id).exclude(meter="")
        before = read.order_by("-taken_at", "-pk").first()
    return {name: getattr(before, name, "") for name in METER}


def _next_reading(work: ZoneWork) -> dict[str, Any]:
    """What the next reading most likely shares with the last but the meter, and what is to be set for it."""
    last: Reading | Trial | None = work.trials[-1] if work.trials else work.found
    proposed = {"dial": work.proposal and work.proposal.dial, "cap": work.proposal and work.proposal.cap}
    background = {"background_db": last.background_db if last else None}
    return proposed | background | {"seen": len(work.trials)}


def _wanted(run: Commissioning, work: ZoneWork) -> float | None:
    """What is wanted: as said; else as in the newest baseline; else as found. Always without background."""
    if work.target:
        return work.target.wanted_db
    baseline = newest_baselines([run.site_id]).get(run.site_id)
    frozen = (baseline.content["zones"].get(work.zone.name) if baseline else None) or {}
    level, background = frozen.get("level_db"), frozen.get("background_db")
    if level is None and work.found:
        level, background = work.found.level_db, work.found.background_db
    alone = None if level is None else Heard(level, None, None, background).alone_db
    return None if alone is None else round(alone, 1)
