"""Random sites with one fault each, simulated apart from the code under test: nodal analysis, own sums of energies."""

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from registry.engineering.cable import loop_resistance_ohm
from registry.engineering.diagnosis import Heard, ImpedanceReading, Site, SiteDial, SiteLine, SiteSpot, SpotReading
from registry.engineering.line import Cable, Channel, Coil, LineSpec, RatedLoad, String

Floats = npt.NDArray[np.float64]

PHONE_DB = 0.8  # a change read with the same phone at the same spot: 0.5 dB repeatability, 0.3 dB placing, both twice
SHARE_DB = 1.0  # what a loudspeaker adds to a spot is known no better than this
BACKGROUND_DB = 1.5
METER_SHARE = 0.05  # relative uncertainty of an impedance against its baseline
OPEN_OHM, SHORT_OHM = 1e12, 1e-6


def random_site(dice: random.Random) -> Site:
    """Two to four zones, a line and three spots each, on two amplifiers and one or two sources."""
    lines, dials, spots = [], [], []
    for number in range(dice.randint(2, 4)):
        zone = f"Zone {number + 1}"
        spec = _random_spec(zone, dice)
        measured = nodal(spec)[1]
        lines.append(SiteLine(f"L{number + 1}", spec, f"Amplifier {number % 2 + 1}", "no", measured))
        dials.append(
            SiteDial(
                name=f"Dial {number + 1}",
                lines=(f"L{number + 1}",),
                source=f"Stream {dice.randint(1, 2)}",
                group=dice.choice(["", "All day"]),
                position=float(dice.choice([30, 40, 50, 60])),
                cap=float(dice.choice([60, 76, 90])),
            )
        )
        spots += _random_spots(zone, spec, dice)
    return Site(tuple(lines), tuple(dials), tuple(spots))


def _random_spec(zone: str, dice: random.Random) -> LineSpec:
    kind = dice.choice(["parallel", "pairs", "100"])
    count = {"parallel": dice.randint(2, 4), "pairs": dice.choice([2, 4, 6]), "100": dice.randint(4, 8)}[kind]
    coils = [
        Coil(
            f"{zone} LS{n}",
            impedance_ohm=None if kind == "100" else 16.0 if kind == "parallel" else 8.0,
            tap_w=dice.choice([3.0, 6.0]) if kind == "100" else None,
            cable=Cable("1.5 mm2", float(dice.randint(5, 25))),
        )
        for n in range(1, count + 1)
    ]
    if kind == "100":
        return LineSpec("100", (String("1", tuple(coils)),), Channel(line_power_w={100.0: 120.0}))
    size = 2 if kind == "pairs" else 1
    strings = tuple(String(str(n), tuple(coils[n : n + size])) for n in range(0, count, size))
    return LineSpec("low", strings, Channel((RatedLoad(4.0, 100.0),), 4.0))


def _random_spots(zone: str, spec: LineSpec, dice: random.Random) -> Iterator[SiteSpot]:
    labels = [coil.label for coil in spec.coils]
    for number in range(3):
        first = number * len(labels) // 3
        near = [labels[(first + step) % len(labels)] for step in range(min(len(labels), dice.randint(1, 3)))]
        heard = tuple(Heard(label, -3.0 * step - dice.uniform(0.0, 3.0)) for step, label in enumerate(near))
        level = dice.uniform(58.0, 66.0)
        yield SiteSpot(f"{zone} P{number + 1}", zone, level, heard, level - dice.uniform(15.0, 25.0))


@dataclass(frozen=True)
class Case:
    """A fault: kind, place, energy of every coil against the baseline (by label), and impedances that change [Ω]."""

    kind: str
    where: str
    gains: dict[str, float] = field(default_factory=dict)
    ohms: dict[str, float] = field(default_factory=dict)

    @property
    def key(self) -> tuple[str, str]:
        return self.kind, self.where


def nodal(
    spec: LineSpec, *, at: int = -1, coil_ohm: float | None = None, cable_ohm: float | None = None
) -> tuple[Floats, float]:
    """Volts on each coil for 1 V at the channel, and what it sees [Ω]; one coil or piece of cable may be replaced."""
    branches, ends = _branches(spec, at, coil_ohm, cable_ohm)
    size = 1 + max(max(a, b) for a, b, _ in branches)
    matrix = np.zeros((size, size))
    for a, b, ohm in branches:
        matrix[a, a] += 1 / ohm
        matrix[b, b] += 1 / ohm
        matrix[a, b] -= 1 / ohm
        matrix[b, a] -= 1 / ohm
    volts = np.zeros(size)
    volts[1] = 1.0  # node 0 is the return, node 1 the channel
    volts[2:] = np.linalg.solve(matrix[2:, 2:], -matrix[2:, 1])
    return np.array([abs(volts[a] - volts[b]) for a, b in ends]), 1 / float(matrix[1] @ volts)


def _branches(
    spec: LineSpec, at: int, coil_ohm: float | None, cable_ohm: float | None
) -> tuple[list[tuple[int, int, float]], list[tuple[int, int]]]:
    """Cable and coil branches between nodes, and the two nodes of every coil."""
    branches, ends, node = [], [], 1
    for string in spec.strings:
        here = 1
        for place, coil in enumerate(string.coils):
            broken = len(ends) == at
            ohm = 100.0**2 / coil.tap_w if coil.tap_w else coil.impedance_ohm or 0.0
            loop = (loop_resistance_ohm(coil.cable) if coil.cable else None) or SHORT_OHM
            near = node + 1
            far = 0 if spec.kind != "low" or place == len(string.coils) - 1 else near + 1
            branches.append((here, near, cable_ohm if broken and cable_ohm else loop))
            branches.append((near, far, coil_ohm if broken and coil_ohm else ohm))
            ends.append((near, far))
            here, node = near if spec.kind != "low" else far, max(near, far)
    return branches, ends


def line_cases(line: SiteLine) -> Iterator[Case]:
    """Every coil open, shorted or reversed, every piece of cable open; a line shorted below its minimum is silent."""
    whole, ohm = nodal(line.spec)
    labels = [coil.label for coil in line.spec.coils]
    for at, label in enumerate(labels):
        broken = {
            "coil open": nodal(line.spec, at=at, coil_ohm=OPEN_OHM),
            "coil shorted": nodal(line.spec, at=at, coil_ohm=SHORT_OHM),
            "cable open": nodal(line.spec, at=at, cable_ohm=OPEN_OHM),
            "polarity reversed": (whole, ohm),
        }
        for kind, (volts, seen) in broken.items():
            gains = (volts / whole) ** 2
            if kind in ("coil open", "coil shorted"):
                gains[at] = 0.0
            if kind == "coil shorted" and overloaded(line.spec, seen):
                gains = np.zeros(len(labels))
            yield Case(kind, label, dict(zip(labels, gains.tolist(), strict=True)), {line.name: seen})


def overloaded(spec: LineSpec, ohm: float) -> bool:
    """Whether a load is below what the channel allows."""
    lowest = 100.0**2 / spec.channel.line_power_w[100.0] if spec.kind == "100" else spec.channel.min_load_ohm or 0.0
    return ohm < lowest


def fixed_cases(site: Site) -> list[Case]:
    """Every fault of a site without a size: in lines, and the silences."""
    found = [Case("no fault", "")]
    labels = {line.name: [coil.label for coil in line.spec.coils] for line in site.lines}

    def silence(kind: str, where: str, lines: list[str], ohms: dict[str, float] | None = None) -> None:
        found.append(Case(kind, where, {label: 0.0 for line in lines for label in labels[line]}, ohms or {}))

    for line in site.lines:
        found.extend(line_cases(line))
        silence("channel dead", line.name, [line.name])
        silence("line open", line.name, [line.name], {line.name: OPEN_OHM})
    for amplifier in {line.amplifier for line in site.lines}:
        fed = [line.name for line in site.lines if line.amplifier == amplifier]
        if len(fed) > 1:
            silence("amplifier dead", amplifier, fed)
    for source in {dial.source for dial in site.dials}:
        silence("source silent", source, [line for d in site.dials if d.source == source for line in d.lines])
    for dial in site.dials:
        if dial.group:
            silence("group lost", dial.name, list(dial.lines))
    return sorted(found, key=lambda case: case.key)


@dataclass(frozen=True)
class Move:
    """A fault with a size: which coils it moves and how far up it can go."""

    kind: str
    where: str
    labels: tuple[str, ...]
    room_db: float

    def by(self, change_db: float) -> Case:
        return Case(self.kind, self.where, dict.fromkeys(self.labels, 10 ** (change_db / 10)))


def moves(site: Site) -> list[Move]:
    """Dials, caps and sources that may have been moved."""
    labels = {line.name: [coil.label for coil in line.spec.coils] for line in site.lines}
    found = []
    for dial in site.dials:
        of = tuple(label for line in dial.lines for label in labels[line])
        found.append(Move("dial moved", dial.name, of, 20 * math.log10(100 / (dial.position or 100))))
        found.append(Move("cap changed", dial.name, of, 20 * math.log10(100 / (dial.cap or 100))))
    for source in sorted({dial.source for dial in site.dials}):
        of = tuple(label for d in site.dials if d.source == source for line in d.lines for label in labels[line])
        found.append(Move("source level changed", source, of, math.inf))
    return found


def true_levels(site: Site, case: Case) -> Floats:
    """Levels at all spots with a fault, without noise."""
    labels, shares = shares_of(site)
    return levels_of(site, shares @ np.array([case.gains.get(label, 1.0) for label in labels]))


def shares_of(site: Site) -> tuple[list[str], Floats]:
    """Labels of all loudspeakers, and which share of the energy at each spot each of them adds."""
    labels = [coil.label for line in site.lines for coil in line.spec.coils]
    shares = np.zeros((len(site.spots), len(labels)))
    for row, spot in enumerate(site.spots):
        for heard in spot.heard:
            shares[row, labels.index(heard.loudspeaker)] = 10 ** (heard.relative_db / 10)
    return labels, shares / shares.sum(axis=1, keepdims=True)


def levels_of(site: Site, energy: Floats) -> Floats:
    """Levels at the spots where the music has this energy against the baseline; spots along the first axis."""
    music = np.array([10 ** (spot.level_db / 10) for spot in site.spots])
    floor = np.array([10 ** ((spot.background_db or 0.0) / 10) for spot in site.spots])
    return 10 * np.log10((energy.T * music + floor).T)


def as_it_really_is(site: Site, dice: random.Random) -> Site:
    """The same site with what the record does not know exactly: shares of loudspeakers, backgrounds."""
    return replace(
        site,
        spots=tuple(
            replace(
                spot,
                heard=tuple(replace(h, relative_db=h.relative_db + dice.gauss(0, SHARE_DB)) for h in spot.heard),
                background_db=min((spot.background_db or 0.0) + dice.gauss(0, BACKGROUND_DB), spot.level_db),
            )
            for spot in site.spots
        ),
    )


def read(site: Site, case: Case, dice: random.Random) -> list[SpotReading]:
    """A phone at every spot."""
    levels = true_levels(as_it_really_is(site, dice), case)
    return [
        SpotReading(spot.name, level + dice.gauss(0, PHONE_DB), PHONE_DB)
        for spot, level in zip(site.spots, levels.tolist(), strict=True)
    ]


def ohm_distance(site: Site, one: Case, other: Case) -> float:
    """How far two faults are apart in all impedances, in standard uncertainties of the meter."""
    lines = {line.name: line.measured_ohm or 0.0 for line in site.lines}
    logs = [
        [math.log(min(max(case.ohms.get(name, ohm), 0.1), 1e5)) for name, ohm in lines.items()] for case in (one, other)
    ]
    return math.dist(*logs) / METER_SHARE


def distances(site: Site, case: Case, *, impedances: bool = False) -> dict[tuple[str, str], float]:
    """How far every other fault is from this one at the spots, in standard uncertainties of the phone."""
    truth = true_levels(site, case)
    labels, shares = shares_of(site)
    found = {}
    for other in fixed_cases(site):
        levels = float(np.linalg.norm(true_levels(site, other) - truth)) / PHONE_DB
        found[other.key] = math.hypot(levels, ohm_distance(site, case, other) if impedances else 0.0)
    for move in moves(site):
        sizes = np.array([db for db in np.arange(-30.0, 20.25, 0.25) if abs(db) >= 1.0 and db <= move.room_db])
        moved = shares @ np.array([label in move.labels for label in labels])
        energy = (1 - moved)[:, None] + moved[:, None] * 10 ** (sizes / 10)
        off = levels_of(site, energy) - truth[:, None]
        levels = float(np.linalg.norm(off, axis=0).min()) / PHONE_DB
        ohms = ohm_distance(site, case, Case(move.kind, move.where)) if impedances else 0.0
        found[move.kind, move.where] = math.hypot(levels, ohms)
    found.pop(case.key)
    return found


def measured(site: Site, case: Case, line: str, dice: random.Random) -> ImpedanceReading:
    """A meter at the terminals of a line."""
    ohm = case.ohms.get(line) or next(one.measured_ohm or 0.0 for one in site.lines if one.name == line)
    return ImpedanceReading(line, ohm * math.exp(dice.gauss(0, METER_SHARE)), METER_SHARE)


def random_case(site: Site, kind: str, dice: random.Random) -> Case | None:
    """A fault of this kind somewhere on the site, None where there is no place for it."""
    sized = [move for move in moves(site) if move.kind == kind]
    if sized:
        move = dice.choice(sized)
        down, up = -dice.uniform(2.0, 12.0), dice.uniform(2.0, 12.0)
        return move.by(up if up <= move.room_db and dice.random() < 0.5 else down)
    fixed = [case for case in fixed_cases(site) if case.kind == kind]
    return dice.choice(fixed) if fixed else None
