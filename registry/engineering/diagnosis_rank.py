"""Suspects ranked by likelihood, and parted into groups that the readings tell apart."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from registry.engineering.diagnosis_causes import Floats, Suspect
from registry.engineering.diagnosis_parts import ImpedanceReading, Site, SpotReading, Symptom
from registry.engineering.diagnosis_predict import Predicted, Predictor, log_ohm
from registry.engineering.diagnosis_symptoms import symptom_likelihood

# Two predictions that lie three standard uncertainties apart are mistaken for each other in 7 of 100 cases.
TOLD_APART: Final = 3.0


@dataclass(frozen=True, slots=True)
class Scored:
    """A suspect with its probability, its most probable outcome, and what that predicts for each reading taken."""

    suspect: Suspect
    probability: float
    best: int
    predicted: Predicted
    symptoms: Floats


class Evidence:
    """The readings and symptoms of one diagnosis, weighed against the suspects of its site."""

    def __init__(
        self,
        site: Site,
        readings: Sequence[SpotReading],
        *,
        impedances: Sequence[ImpedanceReading],
        symptoms: Sequence[Symptom],
    ) -> None:
        """Line up what was observed; an impedance that cannot be predicted is left out."""
        self.site, self.predictor, self.symptoms, self.readings = site, Predictor(site), symptoms, readings
        self.impedances = [reading for reading in impedances if self.predictor.knows(reading.line)]
        self.read = {reading.spot for reading in readings}
        self._spots = [self.predictor.spots[reading.spot] for reading in readings]
        self._observed = np.array(
            [reading.level_db for reading in readings] + [log_ohm(r.impedance_ohm) for r in self.impedances]
        )
        self._uncertainties = np.array(
            [reading.uncertainty_db for reading in readings] + [reading.uncertainty for reading in self.impedances]
        )

    def ranked(self, found: Sequence[Suspect]) -> list[Scored]:
        """All suspects, most probable first; the probabilities add up to 1."""
        weighed = [self._weighed(suspect) for suspect in found]
        top = max(log for log, _ in weighed)
        whole = sum(math.exp(log - top) for log, _ in weighed)
        scored = [Scored(s.suspect, math.exp(log - top) / whole, s.best, s.predicted, s.symptoms) for log, s in weighed]
        return sorted(scored, key=lambda one: -one.probability)

    def separation(self, first: Scored, other: Scored) -> float:
        """How far the two are apart, in standard uncertainties: the first's best outcome against any of the other's."""
        mine, theirs = first.predicted, other.predicted
        own = mine.uncertainties[first.best] ** 2
        spread = self._uncertainties**2 + (own + theirs.uncertainties**2) / 2.0
        apart = ((mine.values[first.best] - theirs.values) ** 2 / spread).sum(axis=1)
        # What people say counts like a reading: log odds of d²/2 are those of two Gaussians d apart.
        said = 2.0 * np.abs(np.log(first.symptoms[first.best]) - np.log(other.symptoms))
        return math.sqrt(float((apart + said).min()))

    def grouped(self, ranked: Sequence[Scored]) -> list[list[Scored]]:
        """Suspects that the readings do not tell from the most probable of their group; most probable group first."""
        left, groups = list(ranked), []
        while left:
            near = [one for one in left if one is left[0] or self.separation(left[0], one) < TOLD_APART]
            groups.append(near)
            left = [one for one in left if one not in near]
        return sorted(groups, key=lambda group: -sum(one.probability for one in group))

    def _weighed(self, suspect: Suspect) -> tuple[float, Scored]:
        predicted = self._predicted(suspect)
        spread, z = self._apart(predicted)
        symptoms = np.ones(len(suspect.outcomes))
        for symptom in self.symptoms:
            symptoms = symptoms * symptom_likelihood(symptom, suspect, site=self.site, predictor=self.predictor)
        weights = np.array([outcome.weight for outcome in suspect.outcomes])
        logs = np.log(weights) + np.log(symptoms) - (z**2 / 2.0 + np.log(spread)).sum(axis=1)
        best = int(np.argmax(logs))
        log = math.log(suspect.prior) + float(np.logaddexp.reduce(logs))
        return log, Scored(suspect, 0.0, best, predicted, symptoms)

    def _apart(self, predicted: Predicted) -> tuple[Floats, Floats]:
        """Standard uncertainties of the differences, and how many of them each reading lies off; one row an outcome."""
        spread = np.sqrt(self._uncertainties**2 + predicted.uncertainties**2)
        return spread, (self._observed - predicted.values) / spread

    def misfits(self, one: Scored) -> Floats:
        """How far each reading lies from what a suspect's best outcome predicts, in standard uncertainties."""
        return np.asarray(np.abs(self._apart(one.predicted)[1][one.best]))

    def _predicted(self, suspect: Suspect) -> Predicted:
        """One column a reading: the spots, then the impedances."""
        levels = self.predictor.levels(suspect)
        columns = [Predicted(levels.values[:, self._spots], levels.uncertainties[:, self._spots])]
        columns += [self.predictor.impedances(suspect, reading.line) for reading in self.impedances]
        return Predicted(
            np.concatenate([column.values for column in columns], axis=1),
            np.concatenate([column.uncertainties for column in columns], axis=1),
        )
