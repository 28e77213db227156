"""The proposal puts the wanted level at the default position, and a reading corrects it."""

import doctest

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.engineering.dial import drive_db, output_percent
from registry.planning import impedance, matching
from registry.planning.matching import Heard, law_of, propose
from tests.engineering.reference import rows

EQUIVALENT = rows("level_dial_and_decibels", "dial_equivalent")  # common practice: output = dial × cap
# Linear, audio (both common practice), and a stepped control as somebody might measure it: our own figures.
CONTROLS = {
    "linear": "linear",
    "audio": "audio",
    "measured": ((0.0, -70.0), (20.0, -35.0), (50.0, -14.0), (80.0, -4.0), (100.0, 0.0)),
}


@pytest.mark.parametrize(("found", "cap"), [(30.0, 60.0), (38.0, 76.0)])
def test_thirty_percent_uncapped_becomes_a_cap_of_sixty_at_half(found: float, cap: float) -> None:
    # Common practice: 30 % uncapped is a 60 % cap at 50 %, 38 % is 76 %.
    proposal = propose([Heard(62.0, found, 100.0)], 62.0)
    assert (proposal.cap, proposal.dial, proposal.advice) == (cap, 50.0, "")
    assert proposal.predicted_db == pytest.approx(62.0, abs=1e-9)


@pytest.mark.parametrize("row", [row for row in EQUIVALENT if row.expected is not None], ids=lambda row: row.id)
def test_the_same_level_at_another_default_position_needs_the_reference_cap(row) -> None:
    # The dial that the table gives as equal under `cap_to` is taken as the default position: then `cap_to` is the cap.
    found = Heard(60.0, row.inputs["dial"], row.inputs["cap_from"])
    assert propose([found], 60.0, row.expected).cap == row.inputs["cap_to"], row.source


def test_a_cap_that_would_pass_100_percent_says_what_to_do() -> None:
    # 80 % uncapped is 160 % at 50 %; the gain is 20 lg(80/50) = 4.08 dB (derived).
    proposal = propose([Heard(66.0, 80.0, 100.0)], 66.0)
    assert (proposal.cap, proposal.dial) == (100.0, 80.0)
    assert "the cap would have to be 160 %, and a cap ends at 100 %" in proposal.advice
    assert "Raise the gain before this control by 4.1 dB" in proposal.advice
    assert "set the default position to 80 % or more" in proposal.advice


def test_beyond_the_whole_travel_nothing_is_proposed() -> None:
    # From 50 % to 100 % a linear control gains 6.02 dB (20 lg 2): 10 dB more is 3.98 dB too much.
    proposal = propose([Heard(60.0, 50.0, 100.0)], 70.0)
    assert (proposal.cap, proposal.dial, proposal.predicted_db) == (None, None, None)
    assert "4.0 dB below the wanted one" in proposal.says
    assert "Raise the gain" in proposal.advice


def test_six_decibels_more_is_twice_the_position_of_a_linear_control() -> None:
    # DIA-061 of the reference table: 6 dB is twice the amplitude (mnemonic, within half a percent).
    proposal = propose([Heard(60.0, 20.0, 100.0)], 66.02)
    assert output_percent(proposal.dial or 0, proposal.cap or 0) == 40.0


def test_the_background_is_taken_off_and_put_back_for_the_meter() -> None:
    # ISO 3744 K1 at 8 dB apart is 0.75 dB: 60 with 52 behind is 59.25 dB alone.
    proposal = propose([Heard(60.0, 30.0, 100.0, 52.0)], 59.25)
    assert proposal.predicted_db == pytest.approx(59.25, abs=0.01)
    assert proposal.meter_db == pytest.approx(60.0, abs=0.01)


@pytest.mark.parametrize(
    ("heard", "says"),
    [
        (Heard(60.0, None, 100.0), "not recorded"),
        (Heard(60.0, 50.0, None), "write 100 % where there is no cap"),
        (Heard(60.0, 0.0, 100.0), "was off"),
        (Heard(60.0, 50.0, 100.0, 58.0), "Upper bound only: the background is only 2.0 dB below"),
    ],
)
def test_what_is_lacking_is_said_and_no_number_is_made_up(heard: Heard, says: str) -> None:
    proposal = propose([heard], 62.0)
    assert (proposal.cap, proposal.predicted_db) == (None, None)
    assert says in proposal.says


def test_a_second_reading_tells_the_law_of_the_control() -> None:
    # From 30 % to 60 %: linear +6.02 dB (20 lg 2), audio +18 dB (60 dB over the travel).
    assert law_of([Heard(50.0, 30.0, 100.0), Heard(56.0, 60.0, 100.0)]) == ("linear", "")
    assert law_of([Heard(50.0, 30.0, 100.0), Heard(67.5, 60.0, 100.0)]) == ("audio", "")
    assert law_of([Heard(50.0, 30.0, 100.0), Heard(50.3, 31.0, 100.0)]) == ("linear", "")


@pytest.mark.parametrize("level", [50.2, 44.0, 95.0])
def test_a_level_that_does_not_follow_the_control_is_doubted(level: float) -> None:
    doubt = propose([Heard(50.0, 30.0, 100.0), Heard(level, 50.0, 90.0)], 60.0).doubt
    assert "did not follow the control" in doubt


@pytest.mark.parametrize("control", CONTROLS)
@given(start=st.integers(15, 60), change=st.floats(-6.0, 6.0), background=st.sampled_from([None, 40.0]))
@settings(deadline=None, database=None, max_examples=60)
def test_a_few_readings_lead_to_the_wanted_level_whatever_the_control(
    control: str, start: int, change: float, background: float | None
) -> None:
    # The room: 100 dB at full drive plus what the control gives. The proposal knows neither.
    taper = CONTROLS[control]

    def room(dial: float, cap: float) -> Heard:
        return Heard(100.0 + drive_db(dial, cap, taper), dial, cap)

    heard = [room(float(start), 100.0)]
    wanted = heard[0].level_db + change
    if wanted > 100.0 + drive_db(100.0, 100.0, taper):
        return
    for _ in range(6):
        proposal = propose(heard, wanted)
        if proposal.cap is None or proposal.dial is None:
            # Predicted out of reach by a law that is not this control's: turn it fully up and read.
            heard.append(room(100.0, 100.0))
            continue
        heard.append(room(proposal.dial, proposal.cap))
    # One percent of cap at half dial is up to 0.9 dB on the steepest stretch here; rounding leaves half of it.
    assert abs(heard[-1].level_db - wanted) < 0.5


def test_without_a_reading_there_is_nothing_to_match() -> None:
    with pytest.raises(ValueError, match="read the level as found first"):
        propose([], 60.0)


@pytest.mark.parametrize("module", [matching, impedance], ids=lambda module: module.__name__)
def test_the_examples_of_these_modules_run(module) -> None:
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0
