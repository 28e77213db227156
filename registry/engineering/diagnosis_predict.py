"""What every suspect predicts: levels at spots, impedances at terminals, and how sure the prediction itself is."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from registry.engineering.diagnosis_causes import Coils, Floats, Suspect
from registry.engineering.diagnosis_parts import Site, SiteSpot
from registry.engineering.line_solve import solved
from registry.engineering.wording import figure

# Common practice, all four.
SHARE_DB: Final = 1.0  # standard uncertainty of what a loudspeaker adds to a spot, against the others
DROP_DB: Final = 20.0  # the level falls about this far when the music is off, where the background is not known
BACKGROUND_DB: Final = (2.0, 6.0)  # standard uncertainty of a background that is known, and of one that is not
COMPUTED_SHARE: Final = 0.10  # relative standard uncertainty of a computed impedance against a measured one

METER_OHM: Final = (0.1, 1e5)  # what an impedance meter shows; beyond it a line is shorted or open


@dataclass(frozen=True, slots=True)
class Predicted:
    """Predictions of one suspect, one row an outcome, one column a quantity: values and standard uncertainties."""

    values: Floats
    uncertainties: Floats


class Predictor:
    """Predicts levels at the spots and impedances of the lines of one site; impedances as natural logarithms."""

    def __init__(self, site: Site) -> None:
        """Work out what each coil adds to each spot."""
        self.coils = Coils(site)
        self.spots = {spot.name: number for number, spot in enumerate(site.spots)}
        self.shares = np.array([self._shares_at(spot) for spot in site.spots])
        self._music = np.array([10.0 ** (spot.level_db / 10.0) for spot in site.spots])
        self._floor = np.array([10.0 ** (_background_db(spot) / 10.0) for spot in site.spots])
        self._floor_db = np.array([BACKGROUND_DB[spot.background_db is None] for spot in site.spots])
        computed = {line.name: solved(line.spec).impedance_ohm for line in site.lines}
        self._computed = {name: ohm for name, ohm in computed.items() if ohm is not None}
        self._measured = {line.name: line.measured_ohm for line in site.lines if line.measured_ohm is not None}

    def levels(self, suspect: Suspect) -> Predicted:
        """Level at every spot, background and all [dB], for every outcome of a suspect."""
        gains = np.array([outcome.gains for outcome in suspect.outcomes])
        ratios = gains @ self.shares.T
        total = ratios * self._music + self._floor
        floor = self._floor / total
        after = gains[:, None, :] * self.shares / np.maximum(ratios, 1e-30)[:, :, None]
        moved = np.sqrt(((after - self.shares) ** 2).sum(axis=2))
        doubt = np.hypot(SHARE_DB * moved * (1.0 - floor), self._floor_db * floor)
        return Predicted(10.0 * np.log10(total), doubt)

    def changes(self, suspect: Suspect) -> Floats:
        """Change of the music alone at every spot [dB, −inf is silence], for every outcome."""
        gains = np.array([outcome.gains for outcome in suspect.outcomes])
        return _in_db(gains @ self.shares.T)

    def changes_of(self, suspect: Suspect, loudspeaker: str) -> Floats:
        """Change of one loudspeaker [dB, −inf is silence], for every outcome."""
        gains = np.array([outcome.gains for outcome in suspect.outcomes])
        return _in_db(gains[:, self.coils.labels == loudspeaker].mean(axis=1))

    def knows(self, line: str) -> bool:
        """Whether the impedance of a line can be predicted."""
        return line in self._computed

    def impedances(self, suspect: Suspect, line: str) -> Predicted:
        """ln of the impedance at the terminals of a line that is known, for every outcome: one column."""
        computed = self._computed[line]
        base = self._measured.get(line, computed)
        ohms = [outcome.impedances.get(line, computed) / computed * base for outcome in suspect.outcomes]
        doubt = 0.0 if line in self._measured else COMPUTED_SHARE
        values = np.array([[log_ohm(ohm)] for ohm in ohms])
        return Predicted(values, np.full(values.shape, doubt))

    def _shares_at(self, spot: SiteSpot) -> Floats:
        """What share of the energy at a spot each coil adds; the coils of a loudspeaker share alike."""
        shares = np.zeros(len(self.coils.keys))
        for heard in spot.heard:
            of = self.coils.labels == heard.loudspeaker
            shares[of] = 10.0 ** (heard.relative_db / 10.0) / of.sum()
        return np.asarray(shares / shares.sum())


def log_ohm(ohm: float) -> float:
    """Natural logarithm of an impedance as a meter shows it: 0.1 Ω or less is a short, 100 kΩ or more is open.

    Parameters:
        ohm: 0 to inf [Ω].
    Returns:
        Logarithm.
    Raises:
        ValueError: below 0 or nan.
    Source: ours; the limits of the display are common practice.

    >>> round(log_ohm(8.0), 3), log_ohm(float("inf")) == log_ohm(1e6)
    (2.079, True)
    """
    if not ohm >= 0:
        raise ValueError(f"ohm must be 0 or more, got {ohm}")
    return math.log(min(max(ohm, METER_OHM[0]), METER_OHM[1]))


def ohm_shown(ohm: float) -> str:
    """An impedance as a meter shows it, in words at its ends.

    Parameters:
        ohm: 0 to inf [Ω].
    Returns:
        Value with unit, "a short" or "an open line".
    Raises:
        ValueError: never.
    Source: ours; the limits of the display are common practice.

    >>> ohm_shown(7.9), ohm_shown(0.0), ohm_shown(math.inf)
    ('7.9 Ω', 'a short', 'an open line')
    """
    bottom, top = METER_OHM
    if ohm >= top * 0.99:
        return "an open line"
    return f"{figure(ohm)} Ω" if ohm > bottom * 1.01 else "a short"


def _background_db(spot: SiteSpot) -> float:
    return spot.level_db - DROP_DB if spot.background_db is None else spot.background_db


def _in_db(ratios: Floats) -> Floats:
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(ratios))
