"""The one further reading that would tell the best two suspects apart."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from registry.engineering.diagnosis_parts import IMPEDANCE_SHARE, READING_DB
from registry.engineering.diagnosis_predict import Predicted, ohm_shown
from registry.engineering.diagnosis_rank import TOLD_APART, Evidence, Scored

WORTH_ASKING: Final = 0.005  # rivals less probable than this are not worth a reading


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading to take, and what it would show under each of two suspects [dB or Ω].

    apart: how far the two predictions lie apart, in standard uncertainties.
    """

    what: Literal["level", "impedance"]
    where: str
    first: str
    first_expects: float
    other: str
    other_expects: float
    apart: float

    @property
    def says(self) -> str:
        """The reading in one sentence."""
        place = f"the level at {self.where}" if self.what == "level" else f"the impedance of line {self.where}"
        first, other = (self._shown(value) for value in (self.first_expects, self.other_expects))
        return f"Next, read {place}: {first} means {self.first}, {other} means {self.other}."

    def _shown(self, value: float) -> str:
        return f"{value:.1f} dB" if self.what == "level" else ohm_shown(value)


def next_reading(evidence: Evidence, ranked: Sequence[Scored]) -> NextReading | None:
    """The reading that tells the most probable suspect from its most probable rival that any reading can tell it from.

    Levels at all spots are looked at, and impedances of lines that do not serve life safety and were not measured yet.

    Parameters:
        evidence: what was read so far.
        ranked: suspects, most probable first.
    Returns:
        A reading, or None where no rival is left that is worth one, or no reading would tell.
    Raises:
        ValueError: never.
    Source: derived: the largest difference of predictions in standard uncertainties.

    >>> from registry.engineering.diagnosis_parts import Heard, Site, SiteDial, SiteLine, SiteSpot, Symptom
    >>> from registry.engineering.diagnosis_suspects import suspects
    >>> from registry.engineering.line import Channel, Coil, LineSpec, RatedLoad, String
    >>> spec = LineSpec("low", (String("1", (Coil("LS1", impedance_ohm=8.0),)),), Channel((RatedLoad(8.0, 50.0),), 4.0))
    >>> site = Site((SiteLine("L1", spec, "A1", "no", measured_ohm=7.9),), (SiteDial("Bar", ("L1",), "Stream"),),
    ...             (SiteSpot("P1", "Bar", 62.0, (Heard("LS1"),)),))
    >>> evidence = Evidence(site, [], impedances=[], symptoms=[Symptom("silent")])
    >>> print(next_reading(evidence, evidence.ranked(suspects(site))).says)
    Next, read the impedance of line L1: an open line means LS1: coil open, 7.9 Ω means Stream: source silent.
    """
    for rival in ranked[1:]:
        if rival.probability < WORTH_ASKING:
            break
        best = max(_readings(evidence, ranked[0], other=rival), key=lambda reading: reading.apart, default=None)
        if best is not None and best.apart >= TOLD_APART:
            return best
    return None


def _readings(evidence: Evidence, first: Scored, *, other: Scored) -> Iterator[NextReading]:
    """Every reading that could be taken, with what it would show under either suspect."""
    predictor = evidence.predictor
    levels = predictor.levels(first.suspect), predictor.levels(other.suspect)
    for spot in (spot for spot in predictor.spots if spot not in evidence.read):
        column = predictor.spots[spot]
        expects = [_at(p, one.best, column=column) for p, one in zip(levels, (first, other), strict=True)]
        yield _reading("level", spot, expects=expects, names=(first, other))
    measured = {reading.line for reading in evidence.impedances}
    for line in evidence.site.lines:
        if line.life_safety == "no" and line.name not in measured and predictor.knows(line.name):
            expects = [_at(predictor.impedances(one.suspect, line.name), one.best, column=0) for one in (first, other)]
            yield _reading("impedance", line.name, expects=expects, names=(first, other))


def _at(predicted: Predicted, row: int, *, column: int) -> tuple[float, float]:
    return float(predicted.values[row, column]), float(predicted.uncertainties[row, column])


def _reading(
    what: Literal["level", "impedance"],
    where: str,
    *,
    expects: list[tuple[float, float]],
    names: tuple[Scored, Scored],
) -> NextReading:
    (first, doubt), (other, other_doubt) = expects
    own = READING_DB if what == "level" else IMPEDANCE_SHARE
    spread = math.sqrt(own**2 + (doubt**2 + other_doubt**2) / 2.0)
    shown = (first, other) if what == "level" else (math.exp(first), math.exp(other))
    return NextReading(
        what=what,
        where=where,
        first=names[0].suspect.name,
        first_expects=shown[0],
        other=names[1].suspect.name,
        other_expects=shown[1],
        apart=abs(first - other) / spread,
    )
