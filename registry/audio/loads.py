"""Rows to engineering's plain values, and its results back as stored verdicts."""

from collections.abc import Iterable
from dataclasses import replace

from django.db.models import Prefetch, QuerySet

from registry.audio.channels import channel_check
from registry.audio.models import Coil, Line, LineKind
from registry.engineering.cable import Cable
from registry.engineering.line import (
    Channel,
    LineLoad,
    RatedLoad,
    String,
    constant_voltage_line,
    low_impedance_line,
)
from registry.engineering.line import Coil as PlainCoil
from registry.equipment.models import MakeModel, Placement, Rating


def with_wiring(lines: QuerySet[Line]) -> QuerySet[Line]:
    """Prefetch all that a load needs: coils in order with their models, and the amplifier's ratings."""
    coils = Coil.objects.select_related(
        "loudspeaker__make_model__make", "loudspeaker__make_model__loudspeaker", "loudspeaker__zone"
    ).order_by("string", "order", "pk")
    filled = Placement.objects.filter(current=True).select_related("item__make_model__make")
    filled = filled.prefetch_related("item__make_model__ratings")
    return lines.select_related("amplifier", "site").prefetch_related(
        Prefetch("coils", coils),
        Prefetch("amplifier__placements", filled, to_attr="fillings"),
    )


def load_of(line: Line) -> LineLoad:
    """Return the load of a line that came through `with_wiring`.

    Raises ValueError when no coil is connected.
    """
    return load_with(line, line.coils.all(), amplifier_model(line))


def load_with(line: Line, coils: Iterable[Coil], model: MakeModel | None) -> LineLoad:
    """Return the load of these coils, in wiring order, on the line's channel of an amplifier of that model.

    Nothing of it need be in the database. Raises ValueError when there is no coil.
    """
    strings, channel = strings_from(coils), rated_channel(model.ratings.all() if model else ())
    if line.kind == LineKind.LOW:
        load = low_impedance_line(strings=strings, channel=channel)
    else:
        load = constant_voltage_line(line_v=float(line.kind), strings=strings, channel=channel)
    contradiction = channel_check(line, model)
    return replace(load, checks=(contradiction, *load.checks)) if contradiction else load


def strings_from(coils: Iterable[Coil]) -> tuple[String, ...]:
    """Return coils in wiring order as engineering sees them."""
    strings: dict[str, list[PlainCoil]] = {}
    for coil in coils:
        strings.setdefault(coil.string, []).append(_plain(coil))
    return tuple(String(name, tuple(plain)) for name, plain in strings.items())


def _plain(coil: Coil) -> PlainCoil:
    model = coil.loudspeaker.make_model
    spec = getattr(model, "loudspeaker", None)
    known = coil.cable or coil.cable_m is not None
    return PlainCoil(
        label=coil.loudspeaker.label,
        coil=coil.coil,
        impedance_ohm=spec and spec.impedance_ohm,
        min_impedance_ohm=spec and spec.min_impedance_ohm,
        rated_power_w=spec and spec.power_w,
        tap_w=coil.tap_w,
        taps_w=tuple(spec.taps_w) if spec else (),
        insertion_loss_db=spec and spec.insertion_loss_db,
        model=str(model) if model else "",
        cable=Cable(coil.cable or None, coil.cable_m) if known else None,
    )


def amplifier_model(line: Line) -> MakeModel | None:
    """Return the model of the item that fills the amplifier's place now, if any does."""
    fillings: list[Placement] = line.amplifier.fillings  # type: ignore[attr-defined]
    return fillings[0].item.make_model if fillings else None


def rated_channel(ratings: Iterable[Rating]) -> Channel:
    """Return one channel as engineering sees it, from the ratings of an amplifier."""
    ratings = list(ratings)
    low = [rating for rating in ratings if rating.load_ohm is not None and rating.power_w is not None]
    limits = [rating.min_load_ohm for rating in ratings if rating.min_load_ohm is not None and rating.line_v is None]
    return Channel(
        rated=tuple(RatedLoad(rating.load_ohm, rating.power_w) for rating in low if rating.load_ohm and rating.power_w),
        min_load_ohm=max(limits) if limits else None,
        line_power_w={rating.line_v: rating.power_w for rating in ratings if rating.line_v and rating.power_w},
    )


def refresh_verdicts(lines: QuerySet[Line]) -> int:
    """Compute the verdicts of these lines again and store those that changed; return how many did."""
    changed = []
    for line in with_wiring(lines):
        verdict, says = _verdict(line)
        if (line.verdict, line.says) != (verdict, says):
            line.verdict, line.says = verdict, says
            changed.append(line)
    Line.objects.bulk_update(changed, ["verdict", "says"], batch_size=500)
    return len(changed)


def _verdict(line: Line) -> tuple[str, str]:
    if not line.coils.all():
        return "unknown", "No loudspeaker is connected to this line."
    load = load_of(line)
    return load.verdict, load.says


def loads_of(lines: Iterable[Line]) -> dict[int, LineLoad]:
    """Return the load of every line that has a coil, by its id."""
    return {line.pk: load_of(line) for line in lines if line.coils.all()}
