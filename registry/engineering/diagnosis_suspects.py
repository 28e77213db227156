"""Every single fault that a site may have: in its lines by Ohm's law, in channels, dials, sources and groups."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from registry.engineering.amplifier import Channel, RatedLoad
from registry.engineering.diagnosis_causes import PRIORS, Coils, Floats, Outcome, Suspect, SuspectKind, energy_ratio
from registry.engineering.diagnosis_parts import Site, SiteLine
from registry.engineering.faults import Fault, faults
from registry.engineering.line_parts import LineSpec, load_of

# Common practice, all five.
PROTECTS: Final = 0.7  # how often a channel with a load below its minimum falls silent at everyday levels
STRAIN_DB: Final = 6.0  # this much louder than the baseline, peaks are likely to clip
MOVED_DB: Final = 8.0  # standard size of a change that somebody makes
SMALLEST_MOVE_DB: Final = 1.0  # less is no fault: it is only just heard side by side
MOVES_DB: Final = tuple(step / 2 for step in range(-60, 41))  # −30 to +20 dB

STIFF_OHM: Final = 0.01  # a rated load lower than that of any line


def suspects(site: Site) -> tuple[Suspect, ...]:
    """Every single fault of a site, "no fault" first, each with its share of the calls.

    A low-impedance channel without rated loads counts as a stiff source. A line with an impedance or tap that is not
    known gets no faults of coils and cables: see `unsolved_lines`.

    Parameters:
        site: the baseline.
    Returns:
        Suspects whose shares add up to 1.
    Raises:
        ValueError: nothing beyond what the parts refuse.
    Source: single faults by Ohm's law (`faults`); the shares are common practice.

    >>> from registry.engineering.line import Coil, String
    >>> from registry.engineering.diagnosis_parts import Heard, SiteDial, SiteSpot
    >>> spec = LineSpec("low", (String("1", (Coil("LS1", impedance_ohm=8.0),)),), Channel())
    >>> site = Site((SiteLine("L1", spec, "A1", "no"),), (SiteDial("Bar", ("L1",), "Stream"),),
    ...             (SiteSpot("P1", "Bar", 62.0, (Heard("LS1"),)),))
    >>> [suspect.name for suspect in suspects(site)][:4]
    ['no fault', 'LS1: coil open', 'LS1: coil shorted', 'LS1: cable open']
    """
    coils = Coils(site)
    found = [Suspect("no fault", "", 0.0, (Outcome(1.0, coils.unchanged()),))]
    for line in site.lines:
        if _is_solvable(line):
            found += [_of_fault(line, fault, coils=coils) for fault in faults(_stiff(line.spec))]
        found.append(_silencing("line open", line.name, coils=coils, lines=[line.name], ohm=math.inf))
        found.append(_silencing("channel dead", line.name, coils=coils, lines=[line.name]))
    found += _of_amplifiers(site, coils)
    found += _of_dials(site, coils)
    found += _of_sources(site, coils)
    counts = {kind: sum(suspect.kind == kind for suspect in found) for kind in PRIORS}
    whole = sum(PRIORS[kind] for kind, count in counts.items() if count)
    return tuple(replace(s, prior=PRIORS[s.kind] / counts[s.kind] / whole) for s in found)


def unsolved_lines(site: Site) -> tuple[str, ...]:
    """Lines whose faults cannot be computed, because an impedance or a tap is not known.

    Parameters:
        site: the baseline.
    Returns:
        Names of lines.
    Raises:
        ValueError: nothing beyond what the parts refuse.
    Source: ours.

    >>> from registry.engineering.line import Coil, String
    >>> from registry.engineering.diagnosis_parts import Heard, SiteDial, SiteSpot
    >>> spec = LineSpec("low", (String("1", (Coil("LS1"),)),), Channel())
    >>> unsolved_lines(Site((SiteLine("L1", spec, "A1", "no"),), (SiteDial("Bar", ("L1",), "Stream"),),
    ...                     (SiteSpot("P1", "Bar", 62.0, (Heard("LS1"),)),)))
    ('L1',)
    """
    return tuple(line.name for line in site.lines if not _is_solvable(line))


def _is_solvable(line: SiteLine) -> bool:
    return all(load_of(coil, line.spec.line_v) is not None for coil in line.spec.coils)


def _stiff(spec: LineSpec) -> LineSpec:
    if spec.kind != "low" or spec.channel.rated:
        return spec
    lowest = spec.channel.min_load_ohm
    # Any watts will do, for only ratios are looked at.
    return replace(spec, channel=Channel((RatedLoad(lowest or STIFF_OHM, 1.0),), lowest))


def _of_fault(line: SiteLine, fault: Fault, *, coils: Coils) -> Suspect:
    impedances = {line.name: fault.impedance_ohm or 0.0}
    gains = _gains(line, fault, coils=coils)
    where = line.spec.called([fault])[0]
    lines = frozenset({line.name})
    if fault.survives is False:
        silent = Outcome(PROTECTS, coils.scaled(lines, -math.inf), impedances, strained=lines)
        playing = Outcome(1.0 - PROTECTS, gains, impedances, strained=lines)
        return Suspect(fault.kind, where, 0.0, (silent, playing))
    hollow = frozenset({fault.label} if fault.kind == "polarity reversed" else ())
    return Suspect(fault.kind, where, 0.0, (Outcome(1.0, gains, impedances, hollow=hollow),))


def _gains(line: SiteLine, fault: Fault, *, coils: Coils) -> Floats:
    changes = {(line.name, change.label, change.coil): change.change_db or 0.0 for change in fault.changes}
    if fault.kind in ("coil open", "coil shorted"):
        changes[line.name, fault.label, fault.coil] = -math.inf
    gains = coils.unchanged()
    for number, key in enumerate(coils.keys):
        gains[number] = energy_ratio(changes.get(key, 0.0))
    return gains


def _silencing(
    kind: SuspectKind, where: str, *, coils: Coils, lines: Sequence[str], ohm: float | None = None
) -> Suspect:
    """Silence some lines; ohm: what a meter then shows at their terminals, None where it shows what it did."""
    impedances = {} if ohm is None else dict.fromkeys(lines, ohm)
    return Suspect(kind, where, 0.0, (Outcome(1.0, coils.scaled(frozenset(lines), -math.inf), impedances),))


def _moving(kind: SuspectKind, where: str, *, coils: Coils, lines: Iterable[str], room_up_db: float) -> Suspect:
    moved = frozenset(lines)
    moves = [db for db in MOVES_DB if abs(db) >= SMALLEST_MOVE_DB and db <= room_up_db]
    weights = [math.exp(-0.5 * (db / MOVED_DB) ** 2) for db in moves]
    outcomes = tuple(
        Outcome(
            weight / sum(weights),
            coils.scaled(moved, db),
            strained=moved if db >= STRAIN_DB else frozenset(),
            move_db=db,
        )
        for db, weight in zip(moves, weights, strict=True)
    )
    return Suspect(kind, where, 0.0, outcomes)


def _of_amplifiers(site: Site, coils: Coils) -> Iterator[Suspect]:
    for amplifier in dict.fromkeys(line.amplifier for line in site.lines):
        lines = [line.name for line in site.lines if line.amplifier == amplifier]
        if len(lines) > 1:
            yield _silencing("amplifier dead", amplifier, coils=coils, lines=lines)


def _of_dials(site: Site, coils: Coils) -> Iterator[Suspect]:
    for dial in site.dials:
        yield _moving("dial moved", dial.name, coils=coils, lines=dial.lines, room_up_db=dial.room_up_db)
        yield _moving("cap changed", dial.name, coils=coils, lines=dial.lines, room_up_db=dial.cap_room_up_db)
        if dial.group:
            yield _silencing("group lost", dial.name, coils=coils, lines=dial.lines)


def _of_sources(site: Site, coils: Coils) -> Iterator[Suspect]:
    for source in dict.fromkeys(dial.source for dial in site.dials):
        lines = [line for dial in site.dials if dial.source == source for line in dial.lines]
        yield _moving("source level changed", source, coils=coils, lines=lines, room_up_db=math.inf)
        yield _silencing("source silent", source, coils=coils, lines=lines)
