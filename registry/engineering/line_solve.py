"""From a line's parts to its figures: impedance, volts, and what every coil gets."""

import math
from dataclasses import dataclass, replace

from registry.engineering.amplifier import Channel, Drive, drive_into, lowest_load_ohm
from registry.engineering.cable import loop_resistance_ohm
from registry.engineering.line_checks import checks_of
from registry.engineering.line_parts import Coil, LineKind, LineSpec, Piece, load_of, pieces, string_network
from registry.engineering.line_result import CoilLoad, LineLoad
from registry.engineering.network import LeafLoad, Parallel, impedance, solve

Circuit = tuple[tuple[Piece, ...], ...]


def solved(spec: LineSpec) -> LineLoad:
    """Solve and judge a line: strings in parallel at the channel, every piece of cable counted there and back.

    Parameters:
        spec: the line.
    Returns:
        Its figures and checks; None where a figure cannot be known.
    Raises:
        ValueError: nothing beyond what LineSpec refuses.
    Source: Ohm's law (OpenStax, College Physics 2e); IEC 60268-5 for minimum impedance.

    >>> from registry.engineering.line_parts import String
    >>> solved(LineSpec("low", (String("1", (Coil("LS1", impedance_ohm=8.0),)),), Channel())).impedance_ohm
    8.0
    """
    circuit = pieces(spec)
    total_ohm = total_impedance(spec.kind, circuit)
    drive = drive_of(spec, total_ohm)
    volts = drive.volts if drive else None
    loudspeakers = _coil_loads(spec, circuit, volts)
    figures = LineLoad(
        kind=spec.kind,
        impedance_ohm=total_ohm,
        minimum_impedance_ohm=total_impedance(spec.kind, pieces(spec, minimum=True)),
        channel_minimum_ohm=channel_minimum_ohm(spec),
        power_w=None if volts is None or total_ohm is None else volts**2 / total_ohm,
        channel_power_w=_channel_power_w(spec),
        volts=volts,
        cable_loss_db=_cable_loss_db(spec, loudspeakers),
        outside_rating=drive.outside_rating if drive else False,
        loudspeakers=loudspeakers,
        checks=(),
        spec=spec,
    )
    return replace(figures, checks=checks_of(figures))


def total_impedance(kind: LineKind, circuit: tuple[tuple[Piece, ...] | None, ...]) -> float | None:
    """What the channel sees: all strings in parallel.

    Parameters:
        kind: the kind of line.
        circuit: the strings, as `line_parts.pieces` gives them.
    Returns:
        Impedance [Ω], 0 to inf; None when any string is not known.
    Raises:
        ValueError: no string.
    Source: as `network.impedance`.

    >>> total_impedance("low", ((Piece(0.0, 8.0),), (Piece(0.0, 8.0),)))
    4.0
    """
    known = [string_network(kind, string) for string in circuit if string is not None]
    return impedance(Parallel(known)) if len(known) == len(circuit) else None


def drive_of(spec: LineSpec, total_ohm: float | None) -> Drive | None:
    """The voltage at the channel's terminals at full output.

    Parameters:
        spec: the line.
        total_ohm: what the channel sees, 0 to inf [Ω]; None when not known.
    Returns:
        As `amplifier.drive_into`; the nominal line voltage on a constant-voltage line whose rating is known; else None.
    Raises:
        ValueError: load out of range.
    Source: ours.

    >>> from registry.engineering.line_parts import String
    >>> string = String("1", (Coil("LS1", tap_w=6.0),))
    >>> drive_of(LineSpec("100", (string,), Channel(line_power_w={100.0: 60.0})), None)
    Drive(volts=100.0, outside_rating=False)
    """
    if spec.line_v is not None:
        return Drive(spec.line_v, False) if _line_power_w(spec) is not None else None
    return None if total_ohm is None else drive_into(spec.channel, total_ohm)


def channel_minimum_ohm(spec: LineSpec) -> float | None:
    """The lowest impedance that the channel allows on this kind of line; V²/P on a constant-voltage line.

    Parameters:
        spec: the line.
    Returns:
        Impedance [Ω], or None when the channel is not rated for it.
    Raises:
        ValueError: nothing beyond what LineSpec refuses.
    Source: common practice.

    >>> from registry.engineering.line_parts import String
    >>> string = String("1", (Coil("LS1", tap_w=6.0),))
    >>> channel_minimum_ohm(LineSpec("100", (string,), Channel(line_power_w={100.0: 50.0})))
    200.0
    """
    if spec.line_v is None:
        return lowest_load_ohm(spec.channel)
    power_w = _line_power_w(spec)
    return None if power_w is None else spec.line_v**2 / power_w


def shares(kind: LineKind, string: tuple[Piece, ...]) -> tuple[LeafLoad, ...]:
    """What each coil of a string gets of 1 V at the channel.

    Parameters:
        kind: the kind of line.
        string: at least one piece.
    Returns:
        One LeafLoad per coil, for 1 V: volts are shares of the voltage, watts scale with its square.
    Raises:
        ValueError: no piece, or a string that is a short circuit.
    Source: as `network.solve`.

    >>> [coil.volts for coil in shares("low", (Piece(0.0, 8.0), Piece(0.0, 8.0)))]
    [0.5, 0.5]
    """
    return solve(string_network(kind, string), volts=1.0)[1::2]


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a coil sits: its string's name, the coil, its load, and what it gets of 1 V with its cable and without."""

    string: str
    coil: Coil
    load_ohm: float | None
    share: LeafLoad | None
    ideal_volts: float


def _coil_loads(
    spec: LineSpec, circuit: tuple[tuple[Piece, ...] | None, ...], volts: float | None
) -> tuple[CoilLoad, ...]:
    return tuple(_coil_load(spec, place, volts) for place in _places(spec, circuit))


def _places(spec: LineSpec, circuit: tuple[tuple[Piece, ...] | None, ...]) -> list[_Place]:
    places = []
    for string, known in zip(spec.strings, circuit, strict=True):
        got = shares(spec.kind, known) if known else (None,) * len(string.coils)
        series_ohm = sum(piece.load_ohm for piece in known) if known else math.nan
        for coil, share in zip(string.coils, got, strict=True):
            ideal = share.ohm / series_ohm if share and spec.kind == "low" else 1.0
            places.append(_Place(string.name, coil, load_of(coil, spec.line_v), share, ideal))
    return places


def _coil_load(spec: LineSpec, place: _Place, volts: float | None) -> CoilLoad:
    coil, share = place.coil, place.share
    power_w = None if share is None or volts is None else volts**2 * share.watts
    on_tap = spec.line_v is not None and coil.tap_w is not None
    return CoilLoad(
        label=coil.label,
        coil=coil.coil,
        string=place.string,
        impedance_ohm=place.load_ohm,
        power_w=power_w,
        level_re_direct_db=_level_re_tap(place) if spec.line_v else _level_re_alone(spec.channel, place, power_w),
        rated_w=coil.tap_w if on_tap else coil.rated_power_w,
        cable_loss_db=None if share is None else 20 * math.log10(place.ideal_volts / share.volts),
    )


def _level_re_tap(place: _Place) -> float | None:
    if place.share is None or place.coil.tap_w is None:
        return None
    return 20 * math.log10(place.share.volts)


def _level_re_alone(channel: Channel, place: _Place, power_w: float | None) -> float | None:
    if power_w is None or place.load_ohm is None:
        return None
    alone = drive_into(channel, place.load_ohm)
    return None if alone is None else 10 * math.log10(power_w * place.load_ohm / alone.volts**2)


def _cable_loss_db(spec: LineSpec, loudspeakers: tuple[CoilLoad, ...]) -> float | None:
    """The largest loss; not known when any piece or any load is not."""
    if any(coil.cable is None or loop_resistance_ohm(coil.cable) is None for coil in spec.coils):
        return None
    losses = [coil.cable_loss_db for coil in loudspeakers if coil.cable_loss_db is not None]
    return max(losses) if len(losses) == len(loudspeakers) else None


def _line_power_w(spec: LineSpec) -> float | None:
    return next((w for volts, w in spec.channel.line_power_w.items() if math.isclose(volts, spec.line_v or 0)), None)


def _channel_power_w(spec: LineSpec) -> float | None:
    if spec.line_v is not None:
        return _line_power_w(spec)
    return min(((r.load_ohm, r.power_w) for r in spec.channel.rated), default=(0.0, None))[1]
