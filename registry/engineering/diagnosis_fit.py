"""How well the most probable suspect explains each reading: being the best of all does not yet make it a good one."""

import math
from dataclasses import dataclass
from typing import Final, Literal

from registry.engineering.diagnosis_predict import ohm_shown
from registry.engineering.diagnosis_rank import Evidence, Scored

# A reading of a fault that is really there lies this far off in 6 of 100 000 cases (two-sided Gaussian).
UNEXPLAINED: Final = 4.0


@dataclass(frozen=True, slots=True)
class Fit:
    """A reading and what a suspect predicts for it [dB or Ω, inf is open].

    off: how far they lie apart, in standard uncertainties.
    """

    what: Literal["level", "impedance"]
    where: str
    read: float
    expected: float
    off: float

    @property
    def explained(self) -> bool:
        """Whether the suspect may be what was read."""
        return self.off < UNEXPLAINED

    @property
    def says(self) -> str:
        """What was read, and what it would have to be."""
        place = self.where if self.what == "level" else f"line {self.where}"
        return f"with it {place} would read {self.shown(self.expected)}, not {self.shown(self.read)}"

    def shown(self, value: float) -> str:
        """A value with its unit."""
        return f"{value:.1f} dB" if self.what == "level" else ohm_shown(value)


def fits_of(evidence: Evidence, one: Scored) -> tuple[Fit, ...]:
    """Compare every reading with what the most probable outcome of a suspect predicts.

    Parameters:
        evidence: what was read.
        one: the suspect, scored by this evidence.
    Returns:
        One for each reading, the levels first.
    Raises:
        ValueError: never.
    Source: Gaussian uncertainties (JCGM 100:2008), as in the ranking.

    >>> from registry.engineering.diagnosis_parts import Heard, ImpedanceReading, Site, SiteDial, SiteLine, SiteSpot
    >>> from registry.engineering.diagnosis_suspects import suspects
    >>> from registry.engineering.line import Channel, Coil, LineSpec, RatedLoad, String
    >>> spec = LineSpec("low", (String("1", (Coil("LS1", impedance_ohm=8.0),)),), Channel((RatedLoad(8.0, 50.0),), 4.0))
    >>> site = Site((SiteLine("L1", spec, "A1", "no", measured_ohm=8.0),), (SiteDial("Bar", ("L1",), "Stream"),),
    ...             (SiteSpot("P1", "Bar", 62.0, (Heard("LS1"),)),))
    >>> evidence = Evidence(site, [], impedances=[ImpedanceReading("L1", 16.0)], symptoms=[])
    >>> fit = fits_of(evidence, evidence.ranked(suspects(site))[0])[0]
    >>> fit.says, fit.explained
    ('with it line L1 would read 8 Ω, not 16 Ω', False)
    """
    off = evidence.misfits(one)
    expected = one.predicted.values[one.best]
    levels = [
        Fit("level", reading.spot, reading.level_db, float(expected[column]), float(off[column]))
        for column, reading in enumerate(evidence.readings)
    ]
    first = len(levels)
    impedances = [
        Fit(
            "impedance",
            reading.line,
            reading.impedance_ohm,
            math.exp(expected[first + column]),
            float(off[first + column]),
        )
        for column, reading in enumerate(evidence.impedances)
    ]
    return (*levels, *impedances)
