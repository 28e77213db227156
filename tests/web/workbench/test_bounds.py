"""The largest that can be typed is answered, or refused with advice, within the time of a page."""

import time

import pytest

from registry.web.workbench.catalogue import CALCULATIONS
from registry.web.workbench.working import worked

SECONDS = 4  # of the processor, so that a busy machine doesn't count; a page usually takes a hundredth of this

LARGEST = {
    "network": {"parts": " | ".join(["8 + 8"] * 30)},
    "equal-loudspeakers": {"strings": "12", "in_series": "4"},
    "constant-voltage-line": {"taps": "48 x 6 W", "cable": "48 x 10 m of 1.5 mm2"},
    "line-faults": {"loudspeakers": "\n".join(f"{n % 6}, LS{n}, 8 ohm, 5 m of 1.5 mm2, 30 W" for n in range(24))},
    "coverage": {"length": "60 m", "width": "60 m", "angle": "60", "pattern": "full_overlap"},
    "rack": {"height": "60", "items": "\n".join(f"Item {n}, 1, {n}, 5 kg, 10 W, 50 W" for n in range(1, 41))},
    "noise-signal": {"seconds": "30 s"},
    "diagnosis": {
        "loudspeakers": "\n".join(f"Z{n % 4}, A/{n % 4}, {n}, LS{n}, 8 ohm" for n in range(24)),
        "spots": "\n".join(f"P{n}, Z{n % 4}, 66, 40, LS{n % 4} + LS{n % 4 + 4}, 60" for n in range(12)),
        "symptoms": "\n".join(["quieter"] * 8),
    },
}


@pytest.mark.parametrize(("name", "changed"), LARGEST.items(), ids=LARGEST)
def test_the_largest_input_is_answered_in_time(name: str, changed: dict[str, str]) -> None:
    begun = time.process_time()
    outcome = worked(CALCULATIONS[name], {**CALCULATIONS[name].example, **changed})
    assert outcome.answer, outcome.faults
    assert time.process_time() - begun < SECONDS


def folding(count: int, loudspeakers: int, ohm: float, **changed: str) -> dict[str, str]:
    zones = [f"Z{n}, {loudspeakers}, {ohm + n * 0.37:g}, {58 + n % 5}, 80, 2" for n in range(count)]
    return {**CALCULATIONS["fold-plan"].example, "zones": "\n".join(zones), **changed}


@pytest.mark.parametrize(
    "typed",
    [folding(14, 2, 8.0), folding(14, 4, 8.0), folding(14, 4, 16.0), folding(14, 2, 16.0), folding(14, 3, 24.0)],
    ids=["14 × 2 × 8", "14 × 4 × 8", "14 × 4 × 16", "14 × 2 × 16", "14 × 3 × 24"],
)
def test_fourteen_zones_are_folded_or_refused_in_time(typed: dict[str, str]) -> None:
    begun = time.process_time()
    outcome = worked(CALCULATIONS["fold-plan"], typed)
    assert time.process_time() - begun < SECONDS
    assert outcome.answer or "too many ways" in outcome.faults["zones"], outcome.faults


def test_the_usual_fourteen_zones_are_folded_and_fewer_amplifiers_are_ruled_out() -> None:
    outcome = worked(CALCULATIONS["fold-plan"], folding(14, 4, 8.0))
    assert outcome.answer, outcome.faults
    assert "refusals" in [table.name for table in outcome.answer.tables]


@pytest.mark.parametrize(
    "typed",
    [folding(14, 2, 16.0), folding(8, 8, 1000.0, longest_string="4")],
    ids=["too many groups", "too many ways to load the channels"],
)
def test_a_search_without_end_is_refused_with_advice(typed: dict[str, str]) -> None:
    outcome = worked(CALCULATIONS["fold-plan"], typed)
    assert outcome.faults["zones"].startswith("there are too many ways to fold these zones for one page: give classes")


def test_fifteen_zones_are_too_many() -> None:
    outcome = worked(CALCULATIONS["fold-plan"], folding(15, 1, 8.0))
    assert outcome.faults == {"zones": "15 lines: allowed is 1 to 14"}
