"""Diagnosis: what single faults look like at fixed spots, what cannot be told apart, and what to read next."""

import math
import random
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from registry.engineering.diagnosis import (
    PRIORS,
    Diagnosis,
    Heard,
    ImpedanceReading,
    Site,
    SiteDial,
    SiteLine,
    SiteSpot,
    SpotReading,
    Symptom,
    diagnose,
)
from registry.engineering.diagnosis_next import NextReading
from registry.engineering.diagnosis_suspects import suspects
from registry.engineering.line import Cable, Channel, Coil, LineSpec, RatedLoad, String
from tests.engineering.diagnosis_cases import fixed_cases, random_site
from tests.engineering.diagnosis_cases import read as simulated

CHANNEL = Channel((RatedLoad(4.0, 100.0),), 4.0)


def parallel(name: str, count: int, ohm: float = 16.0) -> SiteLine:
    """A line of equal loudspeakers in parallel, its impedance measured at the baseline."""
    strings = tuple(String(str(n), (Coil(f"{name} LS{n}", impedance_ohm=ohm),)) for n in range(1, count + 1))
    return SiteLine(name, LineSpec("low", strings, CHANNEL), f"Amplifier {name}", "no", measured_ohm=ohm / count)


def spot_under(label: str, zone: str = "Bar") -> SiteSpot:
    return SiteSpot(f"P {label}", zone, 62.0, (Heard(label),), 42.0)


def two_zones(**dial: object) -> Site:
    """A bar and a hall of two loudspeakers each, one stream, a spot under every loudspeaker."""
    bar, hall = parallel("B", 2), parallel("H", 2)
    dials = (SiteDial("Bar dial", ("B",), "Stream", position=50.0, cap=60.0), SiteDial("Hall dial", ("H",), "Stream"))
    spots = [spot_under(f"B LS{n}") for n in (1, 2)] + [spot_under(f"H LS{n}", "Hall") for n in (1, 2)]
    return Site((bar, hall), (replace(dials[0], **dial), dials[1]), tuple(spots))


def read(site: Site, *levels: float) -> list[SpotReading]:
    return [SpotReading(spot.name, level) for spot, level in zip(site.spots, levels, strict=False)]


def first_group(found: Diagnosis) -> set[tuple[str, str]]:
    return {(fault.kind, fault.where) for fault in found.groups[0].faults}


def test_a_site_as_at_its_baseline_has_most_probably_no_fault() -> None:
    site = two_zones()
    found = diagnose(site, readings=read(site, 62.1, 61.9, 62.0, 62.2))
    assert found.best.kind == "no fault"
    assert found.groups[0].faults[0] == found.best


def test_one_silent_loudspeaker_in_parallel_is_open_or_its_cable_is_and_no_reading_tells_which() -> None:
    site = two_zones()
    found = diagnose(site, readings=read(site, 42.3, 62.0, 61.8, 62.1))
    assert first_group(found) == {("coil open", "B LS1"), ("cable open", "B LS1")}
    assert found.next_reading is None
    assert found.says == (
        "One of these, which the readings do not tell apart (over 99% together): B LS1: coil open; B LS1: cable open. "
        "To be sure, measure the loudspeaker by itself."
    )


def test_one_open_coil_silences_its_whole_series_string() -> None:
    # Common practice: two loudspeakers dead together, the rest of the zone normal.
    coils = tuple(Coil(f"LS{n}", impedance_ohm=8.0, cable=Cable("1.5 mm2", 5.0)) for n in range(1, 5))
    spec = LineSpec("low", (String("1", coils[:2]), String("2", coils[2:])), CHANNEL)
    spots = tuple(spot_under(coil.label) for coil in coils)
    site = Site((SiteLine("L", spec, "A", "no"),), (SiteDial("Bar dial", ("L",), "Stream"),), spots)
    found = diagnose(site, readings=read(site, 42.0, 42.4, 62.1, 62.0))
    assert first_group(found) == {(kind, f"LS{n}") for kind in ("coil open", "cable open") for n in (1, 2)}


def test_a_dial_and_its_cap_look_alike_and_the_move_is_named() -> None:
    site = two_zones()
    found = diagnose(site, readings=read(site, 57.1, 56.8, 62.0, 62.1))
    assert first_group(found) == {("dial moved", "Bar dial"), ("cap changed", "Bar dial")}
    assert found.best.name == "Bar dial: dial moved by −5.0 dB"
    assert dict(found.best.changes_db) == {"P B LS1": -5.0, "P B LS2": -5.0, "P H LS1": 0.0, "P H LS2": 0.0}


def test_a_dial_at_its_top_cannot_be_what_got_louder() -> None:
    # Output follows dial × cap (common practice): a dial at 100 % ends there, a cap of 60 % leaves 20 lg(100/60) dB.
    site = two_zones(position=100.0)
    found = diagnose(site, readings=read(site, 66.1, 65.9, 62.0, 62.1))
    assert first_group(found) == {("cap changed", "Bar dial")}


def test_a_change_of_every_zone_of_a_source_is_the_source_s() -> None:
    # −10 dBV for +4 dBu is 11.8 dB (published): the input was changed. 62 − 11.8 dB reads 50.8 over a background of 42.
    site = two_zones()
    found = diagnose(site, readings=read(site, 50.9, 50.7, 50.8, 51.0))
    assert first_group(found) == {("source level changed", "Stream")}
    assert found.best.move_db == pytest.approx(-11.8, abs=0.5)


def test_silence_everywhere_is_the_source_and_in_one_zone_its_channel() -> None:
    site = two_zones()
    assert ("source silent", "Stream") in first_group(diagnose(site, readings=read(site, 42.1, 41.8, 42.0, 42.2)))
    alone = first_group(diagnose(site, readings=read(site, 42.1, 41.8, 62.0, 62.2)))
    assert ("channel dead", "B") in alone
    assert ("source silent", "Stream") not in alone


def test_a_lost_loudspeaker_is_seen_in_the_impedance() -> None:
    # One of N equal loudspeakers in parallel opens: the impedance rises by 1/(N − 1), a third for four (derived).
    line = parallel("L", 4)
    spots = (SiteSpot("P", "Bar", 62.0, tuple(Heard(f"L LS{n}") for n in range(1, 5))),)
    site = Site((line,), (SiteDial("Bar dial", ("L",), "Stream"),), spots)
    found = diagnose(site, impedances=[ImpedanceReading("L", 4.0 * 4 / 3)])
    assert {kind for kind, _ in first_group(found)} == {"coil open", "cable open"}
    assert diagnose(site, impedances=[ImpedanceReading("L", 4.02)]).best.kind not in ("coil open", "cable open")


def test_an_open_line_is_told_from_a_dead_channel_at_the_terminals() -> None:
    coil = Coil("LS1", impedance_ohm=8.0, cable=Cable("1.5 mm2", 5.0))
    line = SiteLine("L", LineSpec("low", (String("1", (coil,)),), CHANNEL), "A", "no", measured_ohm=8.1)
    site = Site((line,), (SiteDial("Bar dial", ("L",), "Stream"),), (spot_under("LS1"),))
    found = diagnose(site, readings=read(site, 42.0))
    assert found.next_reading is not None
    assert (found.next_reading.what, found.next_reading.where) == ("impedance", "L")
    assert "an open line" in found.next_reading.says
    assert "8.1 Ω" in found.next_reading.says
    opened = diagnose(site, readings=read(site, 42.0), impedances=[ImpedanceReading("L", math.inf)])
    assert {kind for kind, _ in first_group(opened)} == {"coil open", "cable open", "line open"}
    whole = diagnose(site, readings=read(site, 42.0), impedances=[ImpedanceReading("L", 8.0)])
    assert {"channel dead", "source silent"} <= {kind for kind, _ in first_group(whole)}
    assert "coil open" not in {kind for kind, _ in first_group(whole)}


def four_in_parallel() -> Site:
    """A café of four loudspeakers on one line, and a terrace that plays the same."""
    cafe, terrace = parallel("C", 4), parallel("T", 2)
    spots = (SiteSpot("Café", "Café", 62.0, tuple(Heard(f"C LS{n}") for n in range(1, 5)), 42.0),)
    dials = (SiteDial("Café dial", ("C",), "Stream", group="House"), SiteDial("Terrace dial", ("T",), "Stream"))
    return Site((cafe, terrace), dials, (*spots, spot_under("T LS1", "Terrace")))


def test_no_continuity_on_a_line_of_four_in_parallel_is_the_line_and_not_one_of_the_four() -> None:
    # Ohm's law: one of four equal loads in parallel open leaves a third more; only a broken feed leaves nothing.
    found = diagnose(
        four_in_parallel(),
        readings=[SpotReading("P T LS1", 62.0, 3.0)],
        impedances=[ImpedanceReading("C", math.inf)],
        symptoms=[Symptom("silent", zone="Café")],
    )
    assert first_group(found) == {("line open", "C")}
    assert found.explains and found.groups[0].probability > 0.99
    assert dict(found.best.changes_db) == {"Café": -math.inf, "P T LS1": 0.0}


def test_where_the_best_explains_a_reading_badly_no_fault_is_called_likely() -> None:
    # Two of four open leave twice the impedance; no single fault does.
    found = diagnose(four_in_parallel(), impedances=[ImpedanceReading("C", 8.0)])
    assert not found.explains
    assert found.says == (
        f"No single fault explains what was read. The nearest is {found.best.name}: "
        "with it line C would read 5.33 Ω, not 8 Ω."
    )


def test_a_fault_that_is_there_is_seldom_said_to_explain_too_little() -> None:
    dice = random.Random(3)
    sites = [random_site(dice) for _ in range(20)]
    found = [diagnose(site, readings=simulated(site, dice.choice(fixed_cases(site)), dice)) for site in sites]
    assert sum(one.explains for one in found) >= 19


@pytest.mark.parametrize("life_safety", ["yes", "unknown"])
def test_no_measurement_is_offered_at_a_line_that_may_serve_life_safety(life_safety: str) -> None:
    line = replace(parallel("L", 1), life_safety=life_safety)
    site = Site((line,), (SiteDial("Bar dial", ("L",), "Stream"),), (spot_under("L LS1"),))
    found = diagnose(site, readings=read(site, 42.0))
    assert found.next_reading is None
    assert "Leave fire, voice-alarm and emergency paging lines alone." in found.caution


def test_the_spot_that_tells_two_suspects_apart_is_asked_for() -> None:
    site = two_zones()
    found = diagnose(site, readings=[SpotReading("P B LS1", 56.0)])
    assert found.next_reading is not None
    assert found.next_reading.what == "level"
    assert found.next_reading.where in ("P H LS1", "P H LS2")
    assert found.next_reading.apart > 3


def test_an_impedance_at_the_end_of_the_meter_reads_open_or_shorted() -> None:
    told = NextReading("impedance", "L", "one", 1e5, "other", 0.1, 9.0)
    assert told.says == "Next, read the impedance of line L: an open line means one, a short means other."


def test_no_bass_points_to_a_reversed_loudspeaker_which_no_level_shows() -> None:
    site = two_zones()
    levels = read(site, 62.0, 62.0, 62.0, 62.0)
    said = diagnose(site, readings=levels, symptoms=[Symptom("no bass", zone="Bar")])
    unsaid = diagnose(site, readings=levels)
    assert probability(said, "polarity reversed", "B LS1") > 5 * probability(unsaid, "polarity reversed", "B LS1")
    assert probability(said, "polarity reversed", "B LS1") > 5 * probability(said, "polarity reversed", "H LS1")


def probability(found: Diagnosis, kind: str, where: str) -> float:
    faults = (fault for group in found.groups for fault in group.faults)
    return next(fault.probability for fault in faults if (fault.kind, fault.where) == (kind, where))


def test_cutting_out_when_loud_points_to_a_load_below_the_minimum() -> None:
    # Four series pairs of 8 Ω are 4 Ω; one coil shorted leaves 8 ∥ 16/3 = 3.2 Ω, and the channel protects itself.
    strings = tuple(String(str(s), tuple(Coil(f"LS{s}{n}", impedance_ohm=8.0) for n in (1, 2))) for s in range(1, 5))
    spots = tuple(spot_under(f"LS{s}1") for s in range(1, 5))
    line = SiteLine("L", LineSpec("low", strings, CHANNEL), "A", "no")
    site = Site((line,), (SiteDial("Bar dial", ("L",), "Stream"),), spots)
    found = diagnose(site, symptoms=[Symptom("cuts out when loud"), Symptom("silent", zone="Bar")])
    totals = dict.fromkeys(PRIORS, 0.0)
    for fault in (fault for group in found.groups for fault in group.faults):
        totals[fault.kind] += fault.probability
    assert max(totals, key=lambda kind: totals[kind]) == "coil shorted"
    assert totals["coil shorted"] > 10 * PRIORS["coil shorted"]


@pytest.mark.parametrize(
    ("kind", "best"), [("silent", "coil open"), ("louder", "dial moved"), ("quieter", "dial moved")]
)
def test_what_people_say_of_one_loudspeaker_is_weighed(kind: str, best: str) -> None:
    found = diagnose(two_zones(), symptoms=[Symptom(kind, loudspeaker="B LS1")])
    assert probability(found, best, "B LS1" if best == "coil open" else "Bar dial") > 2 * PRIORS[best] / 4


def test_a_symptom_of_the_whole_site_looks_at_every_zone() -> None:
    found = diagnose(two_zones(), symptoms=[Symptom("silent")])
    assert found.best.kind == "source silent"


def test_probabilities_add_up_and_every_fault_is_in_one_group() -> None:
    site = random_site(random.Random(5))
    found = diagnose(site, readings=[SpotReading(site.spots[0].name, site.spots[0].level_db - 4.0)])
    faults = [fault for group in found.groups for fault in group.faults]
    assert len(faults) == len(suspects(site))
    assert sum(fault.probability for fault in faults) == pytest.approx(1.0)
    assert [group.probability for group in found.groups] == sorted(
        (group.probability for group in found.groups), reverse=True
    )


@pytest.mark.parametrize("seed", range(6))
def test_every_fault_does_to_coils_and_impedances_what_nodal_analysis_finds(seed: int) -> None:
    # Outside check: node potentials from a conductance matrix (numpy), apart from the series and parallel sums in use.
    site = random_site(random.Random(seed))
    labels = [coil.label for line in site.lines for coil in line.spec.coils]
    found = {(suspect.kind, suspect.where): suspect for suspect in suspects(site)}
    for case in fixed_cases(site):
        outcome = found[case.kind, case.where].outcomes[0]
        expected = [case.gains.get(label, 1.0) for label in labels]
        np.testing.assert_allclose(outcome.gains, expected, rtol=1e-5, atol=1e-9)
        for line, ohm in case.ohms.items():
            assert outcome.impedances[line] == pytest.approx(ohm, rel=1e-5) or ohm > 1e9


def test_a_line_with_an_unknown_impedance_is_named_and_its_inside_left_alone() -> None:
    unknown = SiteLine("L", LineSpec("low", (String("1", (Coil("LS1"),)),), Channel()), "A", "no")
    site = Site((unknown,), (SiteDial("Bar dial", ("L",), "Stream"),), (spot_under("LS1"),))
    found = diagnose(site, readings=read(site, 42.0), impedances=[ImpedanceReading("L", 8.0)])
    assert found.notes == (
        "Line L: an impedance or tap is not known, so faults inside it were not looked at.",
        "Line L: its impedance cannot be computed, so the one measured was not used.",
    )
    assert ("channel dead", "L") in first_group(found)
    assert "coil open" not in {fault.kind for group in found.groups for fault in group.faults}


def test_a_channel_without_ratings_counts_as_a_stiff_source() -> None:
    line = parallel("L", 2)
    unrated = replace(line, spec=replace(line.spec, channel=Channel()))
    site = Site((unrated,), (SiteDial("Bar dial", ("L",), "Stream"),), (spot_under("L LS1"), spot_under("L LS2")))
    found = diagnose(site, readings=read(site, 42.0, 62.0))
    assert first_group(found) == {("coil open", "L LS1"), ("cable open", "L LS1")}


SITE = two_zones()


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: diagnose(SITE), "needs a reading or a symptom, got none"),
        (lambda: diagnose(SITE, readings=[SpotReading("P9", 60.0)]), "spot P9 is not in the baseline"),
        (lambda: diagnose(SITE, impedances=[ImpedanceReading("X", 8.0)]), "line X is not in the baseline"),
        (lambda: diagnose(SITE, symptoms=[Symptom("silent", zone="Attic")]), "zone Attic is not in the baseline"),
        (lambda: diagnose(SITE, symptoms=[Symptom("silent", loudspeaker="LS")]), "loudspeaker LS is not in"),
        (lambda: diagnose(SITE, readings=[SpotReading("P B LS1", 60.0)] * 2), "spot P B LS1 is read twice"),
        (lambda: diagnose(SITE, impedances=[ImpedanceReading("B", 8.0)] * 2), "line B is read twice"),
        (lambda: SpotReading("P", math.nan), "level_db read at P is nan"),
        (lambda: SpotReading("P", 60.0, 0.0), "uncertainty_db at P is 0.0"),
        (lambda: ImpedanceReading("L", 0.0), "impedance_ohm of line L must be above 0"),
        (lambda: ImpedanceReading("L", 8.0, -0.1), "uncertainty of line L is -0.1"),
        (lambda: Symptom("odd"), "kind of a symptom must be silent, "),
        (lambda: Symptom("silent", zone="Bar", loudspeaker="LS1"), "of a zone or of a loudspeaker, got Bar and LS1"),
        (lambda: SiteDial("D", ("L",), "S", position=0.0), "position of D is 0.0"),
        (lambda: SiteDial("D", ("L",), "S", cap=120.0), "cap of D is 120.0"),
        (lambda: Heard("LS1", math.inf), "relative_db of LS1 is inf"),
        (lambda: SiteSpot("P", "Bar", math.nan, (Heard("LS1"),)), "level_db of P is nan"),
        (lambda: SiteSpot("P", "Bar", 60.0, (Heard("LS1"),), 61.0), "background_db of P is 61.0"),
        (lambda: SiteSpot("P", "Bar", 60.0, ()), "a loudspeaker at spot P is missing"),
        (lambda: SiteSpot("P", "Bar", 60.0, (Heard("LS1"), Heard("LS1"))), "loudspeaker at spot P LS1 is given twice"),
        (lambda: replace(SITE.lines[0], life_safety="maybe"), "life_safety of line B must be no, yes or unknown"),
        (lambda: replace(SITE.lines[0], measured_ohm=0.0), "measured_ohm of line B is 0.0"),
        (lambda: replace(SITE, lines=()), "a line is missing"),
        (lambda: replace(SITE, lines=SITE.lines[:1] * 2), "line B is given twice"),
        (lambda: replace(SITE, lines=SITE.lines[:1]), "line H is not in the baseline"),
        (lambda: replace(SITE, spots=(spot_under("LS9"),)), "loudspeaker LS9 is not in the baseline"),
    ],
)
def test_what_cannot_be_diagnosed_is_refused(ask: Callable[[], object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        ask()
