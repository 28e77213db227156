"""Draft caps: by what a channel of the same model was measured to give, else by its rated output."""

import math

import pytest

from registry.planning.draft_levels import draft_level
from registry.planning.surroundings import MeasuredDrive

NA_2 = "Make A NA-2"


def drive(volts: float, *, dial: float = 50.0, cap: float = 60.0, model: str = NA_2) -> MeasuredDrive:
    return MeasuredDrive("Amplifier 1", model, "1", dial, cap, volts)


def level_of(volts: float) -> float:
    return 20 * math.log10(volts / 2.83)


def test_the_same_volts_at_the_same_default_position_need_the_same_cap() -> None:
    # Common practice: 30 % uncapped is a cap of 60 % at 50 %.
    draft = draft_level(level_of(0.3), model=NA_2, full_db=None, drives=[drive(0.3)], position=50.0)
    assert (draft.cap, draft.dial) == (60.0, 50.0)


def test_a_dial_of_38_uncapped_becomes_a_cap_of_76_at_the_middle() -> None:
    draft = draft_level(
        level_of(0.2), model=NA_2, full_db=None, drives=[drive(0.2, dial=38.0, cap=100.0)], position=None
    )
    assert (draft.cap, draft.dial) == (76.0, 50.0)


def test_half_the_volts_need_half_the_cap_by_the_linear_law() -> None:
    draft = draft_level(level_of(0.15), model=NA_2, full_db=None, drives=[drive(0.3)], position=50.0)
    assert draft.cap == 30.0


def test_the_channel_that_is_nearest_in_level_is_the_one_to_start_from() -> None:
    drives = [drive(3.0, cap=100.0), drive(0.3)]
    assert draft_level(level_of(0.33), model=NA_2, full_db=None, drives=drives, position=50.0).cap == 66.0


def test_another_model_is_no_evidence_so_the_rated_output_is_taken() -> None:
    # 40 W into 8 Ω is √320 V; less 12 dB of headroom that is a quarter of it (20 lg 4 = 12.04), at 100 %.
    full_db = level_of(math.sqrt(320)) - 12.0
    draft = draft_level(
        full_db - 20 * math.log10(5), model=NA_2, full_db=full_db, drives=[drive(1.0, model="Make B")], position=50.0
    )
    assert draft.cap == pytest.approx(40.0)
    assert draft.says.startswith("from the rated power")


def test_a_level_that_no_cap_gives_says_what_to_do() -> None:
    draft = draft_level(level_of(0.9), model=NA_2, full_db=None, drives=[drive(0.3)], position=50.0)
    assert draft.cap is None
    assert "raise the gain before this control by 5.1 dB" in draft.says
    beyond = draft_level(level_of(3.0), model=NA_2, full_db=None, drives=[drive(0.3)], position=50.0)
    assert beyond.cap is None
    assert "a control ends at 100 %" in beyond.says


def test_without_any_figure_there_is_no_draft() -> None:
    draft = draft_level(-20.0, model=NA_2, full_db=None, drives=[], position=40.0)
    assert (draft.cap, draft.dial, draft.says) == (None, 40.0, "no rated power is recorded to start from")
