"""The loads of planned lines against ngspice: the same ohms at the channel, the same volts at every loudspeaker."""

import math

import pytest

from registry.engineering.line_parts import pieces
from registry.planning.kept import fitted_as
from sites.models import Site
from tests.engineering import spice
from tests.planning.asking import kept_for, requested

pytestmark = pytest.mark.skipif(not spice.AVAILABLE, reason="ngspice is not installed here")


@pytest.mark.parametrize("tolerance_db", [1.1, 2.1, 3.1, 4.6])
def test_every_channel_of_the_best_plan_agrees_with_the_simulator(hall: Site, tolerance_db: float) -> None:
    planned = fitted_as(kept_for(hall, requested(hall, tolerance_db=tolerance_db)), None)
    deck = spice.Deck()
    nodes = []
    for load in planned.loads:
        strings = [list(string) for string in pieces(load.spec) if string is not None]
        assert len(strings) == len(load.spec.strings)
        assert load.volts is not None
        nodes.append(deck.line(load.kind, strings, load.volts))
    volts = deck.run()
    for number, (load, at) in enumerate(zip(planned.loads, nodes, strict=True), start=1):
        assert load.volts is not None
        assert load.impedance_ohm == pytest.approx(load.volts / -volts[f"i(vc{number})"], rel=1e-6)
        simulated = [volts[a] - volts[b] for string in at for a, b in string]
        ours = [math.sqrt((unit.power_w or 0) * (unit.impedance_ohm or 0)) for unit in load.loudspeakers]
        assert ours == pytest.approx(simulated, rel=1e-6)
        assert load.impedance_ohm >= 4.0
