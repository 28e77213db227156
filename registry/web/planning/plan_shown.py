"""One fold plan as it is shown: pictures, every channel's load, every zone's error, what it costs and risks."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from registry.audio.models import LineKind
from registry.drawings.fold_picture import (
    FoldBoxMark,
    FoldChannelMark,
    FoldPicture,
    FoldZoneMark,
    draw_fold_picture,
)
from registry.drawings.marks import Verdict
from registry.engineering.folding import ChannelFit, FoldedAmplifier, FoldZone, ZoneFit
from registry.engineering.folding_plan import NO_MARGIN
from registry.engineering.line import LineLoad
from registry.engineering.wording import figure, listed
from registry.planning.computing import Fitted
from registry.planning.design import Box, DesignedLine
from registry.planning.planned_reach import planned_reach
from registry.planning.surroundings import Surroundings

RESOLUTION_DB = 0.05  # a tolerance counts as kept within this, as in the search


class ChannelRow(NamedTuple):
    """One channel: what hangs on it, its load by nominal impedance and with its cables, and what it allows."""

    place: str
    channel: str
    line: str
    strings: str
    nominal_ohm: float | None
    load: LineLoad | None
    allowed_ohm: float
    verdict: Verdict
    says: str


class ZoneRow(NamedTuple):
    """One zone: wanted and got, and how it is wired."""

    name: str
    wanted_db: float
    got_db: float
    error: str
    tolerance_db: float
    verdict: Verdict
    wiring: str
    place: str
    changes: bool


def plan_shown(
    fitted: Fitted,
    *,
    zones: Iterable[FoldZone],
    around: Surroundings,
    minutes: float,
    loudspeakers: Mapping[str, str],
    ident: str,
) -> dict[str, Any]:
    """Return what the templates of a plan need."""
    picture = _picture(fitted, loudspeakers)
    return {
        "ident": ident,
        "plan": fitted.plan,
        "fitted": fitted,
        "count": len(fitted.plan.amplifiers),
        "says": fitted.plan.says,
        "worst": f"{fitted.plan.worst.zone} {error_shown(fitted.plan.worst.error_db)}",
        "wide": draw_fold_picture(picture, width=720, ident=f"{ident}-wide"),
        "narrow": draw_fold_picture(picture, ident=f"{ident}-narrow"),
        "channels": list(_channel_rows(fitted)),
        "zones": list(_zone_rows(fitted, {zone.name: zone for zone in zones})),
        "boxes": fitted.design.boxes,
        "bought": ", ".join(f"{count} × {name}" for name, count in fitted.bought.items()),
        "hours": fitted.work.hours(minutes),
        "faults": fitted.faults,
        "reach": planned_reach(fitted.design, around),
    }


def error_shown(error_db: float) -> str:
    """Return a level error with its sign, and no sign for nothing."""
    text = f"{error_db:+.1f}"
    return "0.0 dB" if text in ("+0.0", "-0.0") else f"{text.replace('-', '−')} dB"


def _pairs(fitted: Fitted) -> Iterator[tuple[FoldedAmplifier, Box]]:
    return zip(fitted.plan.amplifiers, fitted.design.boxes, strict=True)


def _channel_rows(fitted: Fitted) -> Iterator[ChannelRow]:
    lines = {(line.place, line.channel): pair for pair in _lines(fitted) for line in [pair[0]]}
    for amplifier, box in _pairs(fitted):
        for channel in amplifier.channels:
            line, load = lines.get((box.seat.place, channel.channel), (None, None))
            verdict, says = _judged(channel, load)
            yield ChannelRow(
                place=box.seat.place,
                channel=channel.channel,
                line=line.name if line else "",
                strings=_strings(line),
                nominal_ohm=channel.load_ohm,
                load=load,
                allowed_ohm=channel.min_load_ohm,
                verdict=verdict,
                says=says,
            )


def _lines(fitted: Fitted) -> Sequence[tuple[DesignedLine, LineLoad]]:
    return list(zip(fitted.design.lines, fitted.loads, strict=True))


def _judged(channel: ChannelFit, load: LineLoad | None) -> tuple[Verdict, str]:
    """The verdict of the load alone; what series strings mean is told with the faults."""
    if load is None:
        return "pass", channel.says
    check = next(check for check in load.checks if check.code == "load")
    verdict: Verdict = "warn" if check.verdict == "pass" and _has_no_margin(channel) else check.verdict
    return verdict, channel.says if check.verdict == "pass" else check.says


def _has_no_margin(channel: ChannelFit) -> bool:
    return channel.load_ohm is not None and channel.load_ohm < channel.min_load_ohm * NO_MARGIN


def _strings(line: DesignedLine | None) -> str:
    if line is None:
        return "nothing connected"
    join = " – " if line.kind == LineKind.LOW else ", "
    strings = [join.join(coil.wired.name for coil in coils) for coils in line.strings.values()]
    return " ‖ ".join(strings) if line.kind == LineKind.LOW else "; ".join(strings)


def _zone_rows(fitted: Fitted, zones: Mapping[str, FoldZone]) -> Iterator[ZoneRow]:
    for amplifier, box in _pairs(fitted):
        for fit in amplifier.zones:
            yield ZoneRow(
                name=fit.zone,
                wanted_db=fit.wanted_db,
                got_db=fit.got_db,
                error=error_shown(fit.error_db),
                tolerance_db=fit.tolerance_db,
                verdict=_level_verdict(fit),
                wiring=_wiring(fit, zones[fit.zone]),
                place=box.seat.place,
                changes=bool(fit.changes),
            )


def _level_verdict(fit: ZoneFit) -> Verdict:
    """Within half of the tolerance is fine; the rest of it leaves no room for what drifts."""
    off = abs(fit.error_db)
    if off > fit.tolerance_db + RESOLUTION_DB:
        return "fail"
    return "warn" if off > fit.tolerance_db / 2 + RESOLUTION_DB else "pass"


def _wiring(fit: ZoneFit, zone: FoldZone) -> str:
    if zone.kind != "low":
        return f"{zone.kind} V line, as today"
    strings = len(zone.coils) // fit.per_string
    if fit.per_string == 1:
        return "one loudspeaker" if strings == 1 else f"{strings} in parallel"
    return f"{strings} string{'' if strings == 1 else 's'} of {fit.per_string} in series"


def _picture(fitted: Fitted, loudspeakers: Mapping[str, str]) -> FoldPicture:
    boxes, zones = [], []
    for number, (amplifier, box) in enumerate(_pairs(fitted)):
        new = "new" if box.seat.is_new else "there already"
        detail = f"{box.make} {box.model}, {new}, {error_shown(amplifier.level_db)} re 2.83 V"
        boxes.append(FoldBoxMark(box.seat.place, detail, tuple(map(_channel_mark, amplifier.channels))))
        for fit in amplifier.zones:
            ends = tuple((number, at) for at, channel in enumerate(amplifier.channels) if _carries(channel, fit.zone))
            error = f"{error_shown(fit.error_db)} of ±{figure(fit.tolerance_db)} dB"
            zones.append(FoldZoneMark(fit.zone, loudspeakers.get(fit.zone, ""), error, _level_verdict(fit), ends))
    title = f"{listed([zone.name for zone in zones])} on {len(boxes)} amplifier{'' if len(boxes) == 1 else 's'}"
    return FoldPicture(title, tuple(zones), tuple(boxes))


def _channel_mark(channel: ChannelFit) -> FoldChannelMark:
    name = f"channel {channel.channel}"
    if channel.load_ohm is None:
        return FoldChannelMark(name, "nothing connected")
    verdict: Verdict = "warn" if _has_no_margin(channel) else "pass"
    return FoldChannelMark(name, f"{figure(channel.load_ohm)} Ω ({figure(channel.min_load_ohm)} Ω or more)", verdict)


def _carries(channel: ChannelFit, zone: str) -> bool:
    return any(string.zone == zone for string in channel.strings)
