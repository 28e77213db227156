"""Amplifiers that a fold plan may use: catalogue entries with the modes that their ratings allow, or why not."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from registry.audio.loads import rated_channel
from registry.engineering.amplifier import Channel, lowest_load_ohm
from registry.engineering.folding import (
    AmplifierType,
    Mode,
    channel_drive_limit_db,
    constant_voltage_min_load_ohm,
    drive_of_volts_db,
)
from registry.engineering.folding_drive import PROGRAMME_HEADROOM_DB
from registry.engineering.folding_parts import MOST_CHANNELS
from registry.engineering.line_parts import LINE_VOLTS
from registry.equipment.models import Kind, MakeModel, Placement, Rating
from registry.equipment.queries import models_in_catalogue
from sites.models import Site

LOW_MODE = "low impedance"


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A model of the catalogue; `here` is how many serve at the site. Without `modes` it is of no use: `says` why."""

    pk: int
    make: str
    model: str
    channel: Channel
    modes: tuple[Mode, ...]
    price: float | None
    currency: str
    here: int
    says: str = ""

    @property
    def name(self) -> str:
        """Make and model."""
        return f"{self.make} {self.model}"

    def at(self, price: float | None) -> "Offered":
        """Return it as it is offered to a plan, at a price."""
        return Offered(make=self.make, model=self.model, modes=self.modes, channel=self.channel, price=price)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """An amplifier as a plan was computed with it."""

    make: str
    model: str
    modes: tuple[Mode, ...]
    channel: Channel
    price: float | None

    @property
    def name(self) -> str:
        """Make and model."""
        return f"{self.make} {self.model}"

    @property
    def type(self) -> AmplifierType:
        """Return it as engineering takes it."""
        return AmplifierType(self.name, self.modes, self.price)

    def full_db(self, mode: str) -> float | None:
        """Return the highest mean drive of a channel in a mode; None where it is not known."""
        return next((each.max_drive_db for each in self.modes if each.name == mode), None)


def amplifiers_in_catalogue() -> QuerySet[MakeModel]:
    """Return the amplifiers that have a rating into a low impedance, with all their ratings."""
    rated = Rating.objects.filter(load_ohm__isnull=False).values("make_model")
    return models_in_catalogue().filter(kind=Kind.AMPLIFIER, pk__in=rated).prefetch_related("ratings")


def candidates(site: Site) -> list[Candidate]:
    """Return every amplifier that may be offered, those that serve at the site first. Two queries."""
    serving = Placement.objects.filter(current=True, item__site=site, item__make_model=OuterRef("pk")).order_by()
    counted = serving.values("item__make_model").annotate(number=Count("pk")).values("number")
    found = amplifiers_in_catalogue().annotate(here=Coalesce(Subquery(counted), 0))
    offered = [_candidate(model, model.here) for model in found]
    return sorted(offered, key=lambda candidate: (not candidate.modes, -candidate.here, candidate.name))


def _candidate(model: MakeModel, here: int) -> Candidate:
    ratings = list(model.ratings.all())
    channel = rated_channel(ratings)
    modes, says = _modes(ratings, channel)
    return Candidate(
        pk=model.pk,
        make=model.make.name,
        model=model.name,
        channel=channel,
        modes=modes,
        price=float(model.price) if model.price is not None else None,
        currency=model.currency,
        here=here,
        says=says,
    )


def _modes(ratings: list[Rating], channel: Channel) -> tuple[tuple[Mode, ...], str]:
    low = [rating for rating in ratings if rating.load_ohm is not None]
    counts = {rating.channels for rating in low}
    least_ohm = lowest_load_ohm(channel)
    if len(counts) > 1 or None in counts:
        return (), "how many channels it has is not recorded, or not the same for every rated load"
    channels = counts.pop() or 0
    if channels > MOST_CHANNELS:
        return (), f"{channels} channels; fold plans take amplifiers of one to {MOST_CHANNELS}"
    if least_ohm is None:
        return (), "no rated power into a low impedance is recorded"
    limits = [channel_drive_limit_db(power_w=r.power_w, load_ohm=r.load_ohm) for r in channel.rated]
    return (
        Mode(LOW_MODE, channels, least_ohm, min(limits, default=None)),
        *_constant_voltage_modes(ratings),
    ), ""


def _constant_voltage_modes(ratings: list[Rating]) -> Iterator[Mode]:
    for kind, volts in LINE_VOLTS.items():
        for rating in ratings:
            if rating.line_v == volts and rating.power_w and rating.channels and rating.channels <= MOST_CHANNELS:
                least_ohm = constant_voltage_min_load_ohm(line_v=volts, power_w=rating.power_w)
                most_db = drive_of_volts_db(volts) - PROGRAMME_HEADROOM_DB
                yield Mode(f"{kind} V line", rating.channels, least_ohm, most_db, kind)
