"""What is wrong is told by field, with the range, beside what was typed; and no text makes the server think long."""

import time
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.web.workbench.catalogue import CALCULATIONS
from registry.web.workbench.declaring import Calculation, Input
from registry.web.workbench.working import Outcome, worked

FIELDS = [(calculation, field) for calculation in CALCULATIONS.values() for field in calculation.inputs]
EACH_FIELD = pytest.mark.parametrize(
    ("calculation", "field"), FIELDS, ids=[f"{calculation.name} {field.name}" for calculation, field in FIELDS]
)
HOSTILE = (
    "9**9**9",
    "nan",
    "1e400",
    "inf",
    "-1e99",
    "(" * 2000,
    "8 + " * 5000,
    "8, " * 5000,
    "\n".join(["1, 2, 3, 4, 5, 6"] * 3000),
    "9" * 4000,
    "999 x 8 ohm, 999 x 8 ohm",
    "__import__('os').system('true')",
    "<script>alert(1)</script>",
    "\x00\x01",
    "٣ ohm",
)


def with_one(calculation: Calculation, field: Input, text: str) -> Outcome:
    return worked(calculation, {**calculation.example, field.name: text})


@EACH_FIELD
def test_hostile_text_is_answered_fast_with_a_message_at_its_field(calculation: Calculation, field: Input) -> None:
    for text in HOSTILE:
        begun = time.process_time()
        outcome = with_one(calculation, field, text)
        assert time.process_time() - begun < 1, text[:40]
        if outcome.answer:
            assert field.name == "items", text[:40]  # a rack may hold something of any name and no known figure
            continue
        assert list(outcome.faults) == [field.name], text[:40]
        assert len(outcome.faults[field.name]) < 400, text[:40]


@EACH_FIELD
def test_a_required_field_left_empty_is_named_with_what_is_allowed(calculation: Calculation, field: Input) -> None:
    outcome = with_one(calculation, field, "  ")
    if field.required:
        assert outcome.faults[field.name].startswith("missing: give ")
        assert field.kind.allowed in outcome.faults[field.name]
    else:
        assert field.name not in outcome.faults


@pytest.mark.parametrize(
    ("name", "typed", "field", "says"),
    [
        (
            "cable-loss",
            {"cable": "60 ft", "load": "8 ohm"},
            "cable",
            "Cannot read &#x27;60 ft&#x27;: write a one-way length and a size, for example 60 ft of 16 AWG.",
        ),
        (
            "cable-loss",
            {"cable": "60 ft of 16 AWG", "load": "0"},
            "load",
            "0 is out of range: allowed is above 0 to 100000 Ω.",
        ),
        ("cap", {"dial": "130 %"}, "dial", "130 % is out of range: allowed is above 0 to 100 %."),
        (
            "level-sum",
            {"levels": "70,5"},
            "levels",
            "A comma between digits (70,5) can mean two things: write 1.5, or 1, 5 with a space.",
        ),
        (
            "hearing-dose",
            {"exposures": "85 dB, 4 h\n88 dB, 40 h"},
            "exposures",
            "Line 2, time: 40 h is out of range: allowed is 0 to 24 h.",
        ),
    ],
)
def test_a_fault_stands_beside_its_field_and_what_was_typed_stays(
    browser: Browser, name: str, typed: dict[str, str], field: str, says: str
) -> None:
    response = browser.get(reverse("calculation", args=[name]), typed)
    page = response.content.decode()
    assert response.status_code == 422
    assert f'id="id_{field}_error">{says}' in page
    assert f'<a href="#id_{field}">' in page
    assert [response.context["form"][key].value() for key in typed] == list(typed.values())
    assert response.context["answer"] is None


def test_every_fault_of_a_page_is_told_at_once(browser: Browser) -> None:
    response = browser.get(reverse("calculation", args=["rack"]), {"height": "99", "items": "", "volts": "12 V"})
    assert sorted(response.context["faults"]) == ["height", "items", "volts"]
    assert "3 inputs need correcting" in response.content.decode()


@pytest.mark.parametrize(
    ("name", "changed", "field"),
    [
        ("equal-loudspeakers", {"strings": "40", "in_series": "8"}, "strings"),
        ("equal-loudspeakers", {"rated": "60 W at 8 ohm, 70 W at 8 ohm"}, "rated"),
        ("constant-voltage-line", {"cable": "10 m of 1.5 mm2, 10 m of 1.5 mm2"}, "cable"),
        ("listed-line", {"loudspeakers": "1, LS1, 6 W"}, "loudspeakers"),
        ("listed-line", {"loudspeakers": "1, LS1, 8 ohm\n1, LS1, 8 ohm"}, "loudspeakers"),
        ("cable-resistance", {"method": "iec"}, "method"),
        ("cap", {"dial": "80 %"}, "dial"),
        ("dial-level", {"taper": "measured"}, "points"),
        ("dial-change", {"change": "20 dB"}, "change"),
        ("level-mean", {"durations": "1, 2"}, "durations"),
        ("level-mean", {"durations": "0, 0, 0, 0, 0"}, "durations"),
        ("decibels", {"value": "0"}, "value"),
        ("decibels", {"value": "301", "given": "db"}, "value"),
        ("coverage", {"ceiling": "2 m", "ears": "2.5 m"}, "ceiling"),
        ("coverage", {"ceiling": "2 m", "ears": "1.9 m", "angle": "10"}, "angle"),
        ("band-level", {"bands": "100 Hz, 60\n100 Hz, 61"}, "bands"),
        ("band-level", {"bands": "101 Hz, 60"}, "bands"),
        ("noise-signal", {"rms": "-6", "crest": "6"}, "rms"),
        ("poe", {"ports": "3, 6\n3, 1"}, "ports"),
        ("rack", {"items": "A, 1, 1\nA, 1, 2"}, "items"),
        ("fold-plan", {"zones": "Bar, 1, 8, 60, 80\nBar, 1, 8, 60, 80"}, "zones"),
        ("diagnosis", {"spots": "P1, Attic, 60, 40, LS1"}, "spots"),
        ("diagnosis", {"spots": "P1, Bar, 60, 40, LS9"}, "spots"),
        ("diagnosis", {"loudspeakers": "Bar, 1, 1, LS1, 8 ohm\nHall, 1, 1, LS2, 8 ohm"}, "loudspeakers"),
        ("diagnosis", {"symptoms": "quieter, Attic"}, "symptoms"),
        ("diagnosis", {"symptoms": "", "spots": "P1, Bar, 66, 45, LS1"}, "spots"),
    ],
)
def test_inputs_that_contradict_each_other_are_told_at_the_one_to_change(
    name: str, changed: dict[str, str], field: str
) -> None:
    outcome = worked(CALCULATIONS[name], {**CALCULATIONS[name].example, **changed})
    assert list(outcome.faults) == [field]


@EACH_FIELD
@given(text=st.text(max_size=60))
@settings(derandomize=True, database=None, deadline=None, max_examples=8)
def test_no_text_is_anything_but_an_answer_or_a_message(calculation: Calculation, field: Input, text: str) -> None:
    outcome = with_one(calculation, field, text)
    assert (outcome.answer is None) == bool(outcome.faults)
    assert all("math domain" not in says and says.strip() for says in outcome.faults.values())


def test_a_label_is_shown_and_never_run(browser: Browser) -> None:
    typed: dict[str, Any] = {"kind": "low", "loudspeakers": "1, <script>x</script>, 8 ohm"}
    page = browser.get(reverse("calculation", args=["listed-line"]), typed).content.decode()
    assert "<script>x" not in page
    assert "&lt;script&gt;x&lt;/script&gt;" in page
