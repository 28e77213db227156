"""The sheet to print: boxes, blanks, safety lines, and nothing that may be life-safety related."""

from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line
from registry.baselines.models import Baseline
from sites.models import YesNoUnknown
from tests.web.pages import text_of

SHORT_FORM = (
    "Calculated from recorded data; measure before connecting. Local codes, makers' instructions and licensed persons "
    "decide. Never alter fire, voice-alarm or emergency paging parts."
)


def test_every_step_has_a_box_and_every_zone_blanks_for_two_readings(browser: Browser, baseline: Baseline) -> None:
    page = browser.get(reverse("restore-sheet", args=[baseline.pk]))
    content = page.content.decode()
    assert content.count('class="box"') == 2 + 2 * 3  # two settings; source, cap and dial of two zones
    assert content.count('class="fill"') == 2 * 2 * 4  # two zones, found and left, four values each
    words = text_of(page)
    assert "bass: -2 dB" in words
    assert "Mains inside." in words
    assert words.endswith(SHORT_FORM)


def test_what_may_serve_life_safety_is_named_and_has_no_box(browser: Browser, baseline: Baseline, line: Line) -> None:
    line.life_safety = YesNoUnknown.YES
    line.save()
    page = browser.get(reverse("restore-sheet", args=[baseline.pk]))
    assert "Amplifier 1, Bar: not to be altered. Excluded: a line here is or may be" in text_of(page)
    assert page.content.decode().count('class="box"') == 3
