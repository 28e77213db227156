"""What stands beside a figure: cautions where it can hurt, the drawing where it helps, words where it is not known."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.web.cautions import CAUTIONS
from registry.web.workbench.catalogue import CALCULATIONS
from registry.web.workbench.declaring import Answer
from registry.web.workbench.working import worked


def answer(name: str, **changed: str) -> Answer:
    outcome = worked(CALCULATIONS[name], {**CALCULATIONS[name].example, **changed})
    assert outcome.answer, outcome.faults
    return outcome.answer


@pytest.mark.parametrize(
    ("name", "changed", "caution"),
    [
        ("network", {"parts": "8 | 8 | 8"}, "load"),
        ("equal-loudspeakers", {"strings": "6", "in_series": "1"}, "load"),
        ("listed-line", {"loudspeakers": "1, A, 4 ohm\n2, B, 4 ohm"}, "load"),
        ("listed-line", {"kind": "100", "loudspeakers": "1, A, 6 W", "line_power": "60 W"}, "line"),
        ("constant-voltage-line", {}, "line"),
        ("tap", {}, "line"),
        ("largest-tap", {}, "line"),
        ("zone-level-at-2-83-v", {}, "line"),
        ("level-sum", {"levels": "78, 78"}, "hearing"),
        ("level-mean", {"levels": "80, 81"}, "hearing"),
        ("level-at-distance", {"power": "10 W"}, "hearing"),
        ("power-needed", {"target": "85 dB"}, "hearing"),
        ("band-level", {"bands": "1000 Hz, 82"}, "hearing"),
        ("hearing-time", {"level": "80 dB"}, "hearing"),
        ("against-baseline", {"readings": "83"}, "hearing"),
        ("background", {"level": "90 dB"}, "hearing"),
        ("noise-signal", {}, "hearing"),
        ("coverage", {"level": "95 dB"}, "hearing"),
        ("coverage", {}, "ladder"),
        ("rack", {}, "mains"),
        ("rack", {}, "lifting"),
        ("current", {}, "mains"),
        ("battery", {}, "mains"),
        ("fold-plan", {"life_safety": "unknown"}, "life-safety"),
        ("diagnosis", {"life_safety": "unknown"}, "life-safety"),
    ],
)
def test_the_caution_stands_beside_what_can_hurt(name: str, changed: dict[str, str], caution: str) -> None:
    assert CAUTIONS[caution] in answer(name, **changed).cautions


@pytest.mark.parametrize(
    ("name", "changed", "caution"),
    [
        ("network", {"parts": "8 + 8"}, "load"),
        ("equal-loudspeakers", {}, "load"),
        ("level-sum", {"levels": "60, 60"}, "hearing"),
        ("hearing-time", {"level": "79.9 dB"}, "hearing"),
        ("rack", {"items": "Switch, 1, 1, 3 kg, 20 W, 60 W"}, "lifting"),
    ],
)
def test_no_caution_cries_wolf(name: str, changed: dict[str, str], caution: str) -> None:
    assert CAUTIONS[caution] not in answer(name, **changed).cautions


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("network", "network"),
        ("equal-loudspeakers", "schematic"),
        ("constant-voltage-line", "schematic"),
        ("listed-line", "schematic"),
        ("line-faults", "schematic"),
        ("cap", "dial-curve"),
        ("dial-level", "dial-curve"),
        ("dial-change", "dial-curve"),
        ("against-baseline", "level-strip"),
        ("coverage", "coverage-map"),
        ("rack", "rack-front"),
        ("diagnosis", "bar-chart"),
    ],
)
def test_there_is_a_drawing_where_it_helps(browser: Browser, name: str, kind: str) -> None:
    page = browser.get(reverse("calculation", args=[name])).content.decode()
    assert f'class="drawing {kind}"' in page


def test_the_curve_of_a_dial_does_not_call_it_the_default_position() -> None:
    svg = answer("dial-level", dial="40 %").drawings[0].wide
    assert "dial 40 %" in svg
    assert "default position" not in svg
    assert "Dial at 40 %: the control stands at 40 %." in svg


def test_each_of_three_figures_can_lead_the_answer_about_a_cable() -> None:
    leads = [answer("cable-loss", figure_wanted=wanted).says for wanted in ("level", "ratio", "share")]
    assert leads == [
        "The cable costs 2.41 dB of level: 1.28 Ω before a load of 4 Ω.",
        "The loop resistance is 31.9 % of the load: 1.28 Ω before a load of 4 Ω.",
        "The cable turns 24.2 % of the power into heat: 1.28 Ω before a load of 4 Ω.",
    ]


def test_a_background_too_near_gives_a_bound_and_no_level() -> None:
    found = answer("background", level="60 dB", noise="58 dB")
    values = {result.name: result.value for result in found.results}
    assert values["level_db"] is None
    assert found.verdict == "unknown"
    assert found.says.startswith("At most 58.74 dB: upper bound only")


def test_what_is_not_known_is_unknown_and_never_zero() -> None:
    found = answer("equal-loudspeakers", rated="", minimum="")
    values = {result.name: result.value for result in found.results}
    assert (values["power_w"], values["channel_minimum_ohm"], found.verdict) == (None, None, "unknown")


def test_zones_that_may_serve_life_safety_are_left_out_of_a_fold_plan() -> None:
    kept = answer("fold-plan", zones="Bar, 2, 8, 60, 80\nPaging, 2, 8, 60, 80, 2, life safety")
    assert "Paging is life-safety related: no change is offered." in kept.notes
    nothing = answer("fold-plan", life_safety="unknown")
    assert {result.name: result.value for result in nothing.results}["amplifiers"] is None


def test_no_measurement_at_terminals_is_offered_where_life_safety_is_not_excluded() -> None:
    spots = "P1, Bar, 66, 45, LS1"
    heard = {"loudspeakers": "Bar, 1, 1, LS1, 8 ohm", "spots": spots, "symptoms": "silent, Bar"}
    offered, withheld = answer("diagnosis", **heard), answer("diagnosis", **heard, life_safety="unknown")
    assert "impedance of line 1" in offered.says
    assert "impedance" not in withheld.says


def test_the_file_of_the_noise_is_handed_out_as_wav(browser: Browser) -> None:
    page = browser.get(reverse("calculation", args=["noise-signal"]), {"seconds": "1", "rms": "-30"})
    assert 'href="/workbench/noise-signal/file/?seconds=1&amp;rms=-30"' in page.content.decode()
    response = browser.get("/workbench/noise-signal/file/", {"seconds": "1", "rms": "-30"})
    assert response.headers["Content-Type"] == "audio/wav"
    assert response.headers["Content-Disposition"].endswith('-noise-1s-30dB-under-full-scale.wav"')
    assert response.content[:4] == b"RIFF"
    assert len(response.content) == 44 + 2 * 48_000
