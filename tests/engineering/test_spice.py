"""Random lines, whole and with faults, against ngspice: the same volts at every coil and the same load."""

import math
import random
from functools import cache

import pytest

from registry.engineering.faults import Fault, faults
from registry.engineering.line import Cable, Channel, Coil, LineKind, LineLoad, LineSpec, RatedLoad, String, solved
from registry.engineering.line_parts import Piece, pieces
from tests.engineering import spice

pytestmark = pytest.mark.skipif(not spice.AVAILABLE, reason="ngspice is not installed here")

SEED = 20_240_229
LINES = 60
# A matrix solver cannot bear a node that nothing holds, so an open lets nothing to speak of through.
OPEN_OHM = 1e15
SIZES = ("18 AWG", "16 AWG", "14 AWG", "0.75 mm2", "1.5 mm2", "2.5 mm2")


def random_cable(chance: random.Random) -> Cable:
    return Cable(chance.choice(SIZES), chance.uniform(0.5, 60.0))


def random_line(chance: random.Random, kind: LineKind) -> LineSpec:
    label = iter(range(1, 1000))
    made = []
    for s in range(chance.randint(1, 4)):
        coils = []
        for _ in range(chance.randint(1, 4 if kind == "low" else 15)):
            ohm = chance.choice((4.0, 6.0, 8.0, 16.0)) if kind == "low" else None
            tap_w = None if kind == "low" else chance.choice((1.0, 2.5, 5.0, 7.5, 10.0, 30.0))
            coils.append(Coil(f"LS{next(label)}", impedance_ohm=ohm, tap_w=tap_w, cable=random_cable(chance)))
        made.append(String(str(s), tuple(coils)))
    channel = Channel((RatedLoad(8.0, 100.0), RatedLoad(4.0, 160.0)), 0.5, {25.0: 1e4, 70.7: 1e4, 100.0: 1e4})
    return LineSpec(kind, tuple(made), channel)


def known_pieces(spec: LineSpec) -> list[list[Piece]]:
    return [list(string) for string in pieces(spec) if string is not None]


@cache
def compared() -> list[tuple[LineLoad, list[float], float]]:
    """Every line solved by us, with the volts at its coils and the ohms at its terminals by ngspice, in one run."""
    chance = random.Random(SEED)
    kinds: list[LineKind] = ["low", "25", "70.7", "100"]
    lines = [solved(random_line(chance, kinds[n % 4])) for n in range(LINES)]
    deck = spice.Deck()
    nodes = [deck.line(line.kind, known_pieces(line.spec), line.volts) for line in lines]
    volts = deck.run()
    return [
        (line, [volts[a] - volts[b] for string in at for a, b in string], line.volts / -volts[f"i(vc{n})"])
        for n, (line, at) in enumerate(zip(lines, nodes, strict=True), start=1)
    ]


@pytest.mark.parametrize("number", range(LINES))
def test_a_line_agrees_with_the_simulator(number: int) -> None:
    line, coil_volts, ohm = compared()[number]
    assert line.impedance_ohm == pytest.approx(ohm, rel=1e-6)
    ours = [math.sqrt(coil.power_w * coil.impedance_ohm) for coil in line.loudspeakers]
    assert ours == pytest.approx(coil_volts, rel=1e-6)


def broken(spec: LineSpec, fault: Fault) -> list[list[Piece]]:
    """The same fault in the resistors of the simulator."""
    found = known_pieces(spec)
    at = next(
        (s, c) for s, string in enumerate(spec.strings) for c, x in enumerate(string.coils) if x.label == fault.label
    )
    piece = found[at[0]][at[1]]
    found[at[0]][at[1]] = {
        "coil open": Piece(piece.cable_ohm, OPEN_OHM),
        "coil shorted": Piece(piece.cable_ohm, 0.0),
        "cable open": Piece(OPEN_OHM, piece.load_ohm),
    }[fault.kind]
    return found


@cache
def compared_faults() -> list[tuple[LineLoad, Fault, dict[str, float], float]]:
    """Faults of a few random lines, with each coil's volts after over before, and the ohms of the load, by ngspice."""
    chance = random.Random(SEED + 1)
    kinds: list[LineKind] = ["low", "100", "low", "70.7"]
    lines = [solved(random_line(chance, kind)) for kind in kinds]
    cases = [(line, fault) for line in lines for fault in faults(line) if fault.kind != "polarity reversed"]
    deck = spice.Deck()
    before = [deck.line(line.kind, known_pieces(line.spec), 1.0) for line, _ in cases]
    after = [deck.line(line.kind, broken(line.spec, fault), 1.0) for line, fault in cases]
    volts = deck.run()
    found = []
    for n, ((line, fault), old, new) in enumerate(zip(cases, before, after, strict=True)):
        ratios = [
            abs(volts[a] - volts[b]) / (volts[c] - volts[d])
            for new_string, old_string in zip(new, old, strict=True)
            for (a, b), (c, d) in zip(new_string, old_string, strict=True)
        ]
        by_label = {coil.label: ratio for coil, ratio in zip(line.loudspeakers, ratios, strict=True)}
        found.append((line, fault, by_label, -1.0 / volts[f"i(vc{len(cases) + n + 1})"]))
    return found


def test_faults_agree_with_the_simulator() -> None:
    cases = compared_faults()
    assert {fault.kind for _, fault, _, _ in cases} == {"coil open", "coil shorted", "cable open"}
    for line, fault, ratios, ohm in cases:
        if math.isinf(fault.impedance_ohm):
            assert ohm > 1e9, fault.says
        else:
            assert fault.impedance_ohm == pytest.approx(ohm, rel=1e-6), fault.says
        source = source_ratio(line, fault)
        for change in fault.changes:
            if change.change_db == -math.inf:
                assert ratios[change.label] < 1e-9, fault.says
            else:
                assert 10 ** (change.change_db / 20) == pytest.approx(ratios[change.label] * source, rel=1e-6), (
                    fault.says
                )


def source_ratio(line: LineLoad, fault: Fault) -> float:
    """How the channel's own voltage moved: √(100·8) from 8 Ω up, √(160·4) from 4 Ω down, linear over 1/R between."""
    if line.kind != "low":
        return 1.0
    high, low = math.sqrt(800.0), math.sqrt(640.0)

    def volts(ohm: float) -> float:
        conductance = min(max(1 / ohm, 1 / 8), 1 / 4)
        return high + (low - high) * (conductance - 1 / 8) * 8

    return volts(fault.impedance_ohm) / volts(line.impedance_ohm)
