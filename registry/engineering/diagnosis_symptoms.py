"""How likely somebody says what was said, if a suspect is at fault."""

from typing import Final

import numpy as np

from registry.engineering.diagnosis_causes import Floats, Outcome, Suspect
from registry.engineering.diagnosis_parts import Site, Symptom
from registry.engineering.diagnosis_predict import Predictor

# Common practice: how often people say so where it is so, where it is only just so, and where it is not so.
SAID, PERHAPS, WRONGLY = 0.9, 0.4, 0.05

EASILY_DB: Final = 3.0  # a change that most people notice: common practice
BARELY_DB: Final = 1.0  # a change that is heard side by side: common practice
SILENT_DB: Final = -15.0  # people call this silent beside the usual background: common practice
NEARLY_SILENT_DB: Final = -10.0


def symptom_likelihood(symptom: Symptom, suspect: Suspect, *, site: Site, predictor: Predictor) -> Floats:
    """Probability of a symptom under every outcome of a suspect.

    Parameters:
        symptom: what was said, of a zone, a loudspeaker or the whole site.
        suspect: the fault.
        site, predictor: the baseline, and its predictions.
    Returns:
        One probability for each outcome.
    Raises:
        ValueError: nothing beyond what the parts refuse.
    Source: common practice: 1 dB is only just heard, 3 dB easily.

    >>> from registry.engineering.amplifier import Channel
    >>> from registry.engineering.diagnosis_parts import Heard, SiteDial, SiteLine, SiteSpot
    >>> from registry.engineering.diagnosis_suspects import suspects
    >>> from registry.engineering.line_parts import Coil, LineSpec, String
    >>> spec = LineSpec("low", (String("1", (Coil("LS1", impedance_ohm=8.0),)),), Channel())
    >>> site = Site((SiteLine("L1", spec, "A1", "no"),), (SiteDial("Bar", ("L1",), "Stream"),),
    ...             (SiteSpot("P1", "Bar", 62.0, (Heard("LS1"),)),))
    >>> said = Symptom("silent", zone="Bar")
    >>> [symptom_likelihood(said, s, site=site, predictor=Predictor(site)).tolist() for s in suspects(site)[:2]]
    [[0.05], [0.9]]
    """
    if symptom.kind in ("silent", "quieter", "louder"):
        return _of_change(symptom.kind, _changes(symptom, suspect, site=site, predictor=predictor))
    places = _loudspeakers(symptom, site)
    lines = {line.name for line in site.lines if any(coil.label in places for coil in line.spec.coils)}
    return np.array(
        [
            SAID if _shows(symptom, outcome, lines=lines, loudspeakers=places) else WRONGLY
            for outcome in suspect.outcomes
        ]
    )


def _changes(symptom: Symptom, suspect: Suspect, *, site: Site, predictor: Predictor) -> Floats:
    if symptom.loudspeaker:
        return predictor.changes_of(suspect, symptom.loudspeaker)
    rows = [n for n, spot in enumerate(site.spots) if symptom.zone in ("", spot.zone)]
    return np.asarray(predictor.changes(suspect)[:, rows].mean(axis=1))


def _of_change(kind: str, change_db: Floats) -> Floats:
    if kind == "silent":
        return np.where(change_db <= SILENT_DB, SAID, np.where(change_db <= NEARLY_SILENT_DB, PERHAPS, WRONGLY))
    if kind == "louder":
        return np.where(change_db >= EASILY_DB, SAID, np.where(change_db >= BARELY_DB, PERHAPS, WRONGLY))
    softer = np.where(change_db <= -EASILY_DB, SAID, np.where(change_db <= -BARELY_DB, PERHAPS, WRONGLY))
    return np.where(change_db <= SILENT_DB, PERHAPS, softer)


def _loudspeakers(symptom: Symptom, site: Site) -> set[str]:
    """The loudspeakers that a symptom may be about."""
    if symptom.loudspeaker:
        return {symptom.loudspeaker}
    return {heard.loudspeaker for spot in site.spots if symptom.zone in ("", spot.zone) for heard in spot.heard}


def _shows(symptom: Symptom, outcome: Outcome, *, lines: set[str], loudspeakers: set[str]) -> bool:
    if symptom.kind == "no bass":
        return bool(outcome.hollow & loudspeakers)
    return bool(outcome.strained & lines)
