"""The page of a line: the answer with its numbers, cautions beside the work, formula and single faults."""

import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Line, LineKind, Zone
from registry.demo.factories import LineFactory, LoudspeakerFactory
from sites.models import User, YesNoUnknown
from tests.web.audio.conftest import add_loudspeakers
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, heading_of, text_of


def page_of(browser: Browser, line: Line) -> Any:
    return browser.get(reverse("line", args=[line.pk]))


def test_the_page_begins_with_the_verdict_and_its_numbers(browser: Browser, line: Line) -> None:
    page = page_of(browser, line)
    assert heading_of(page) == "Bar line"
    # Two of 8 Ω in parallel: 1 / (1/8 + 1/8) = 4 Ω.
    says = "Two loudspeakers of 8 Ω in parallel load the channel with 4 Ω; it allows 4 Ω or more: no margin."
    assert answer_of(page) == f"Pass : {says}"


def test_a_load_below_the_lowest_allowed_is_cautioned_against(browser: Browser, line: Line, zone: Zone) -> None:
    add_loudspeakers(line, zone, "LS-3", "LS-4", "LS-5", "LS-6")
    page = page_of(browser, line)
    # Six of 8 Ω in parallel: 8/6 = 1.33 Ω, a field case of the trade.
    assert answer_of(page).startswith("Fail : Six loudspeakers of 8 Ω in parallel load the channel with 1.33 Ω")
    assert "Do not switch this load on" in text_of(page)


@pytest.mark.parametrize(("kind", "shocks"), [(LineKind.V100, True), (LineKind.V70, True), (LineKind.V25, False)])
def test_a_line_that_can_shock_says_so(browser: Browser, line: Line, kind: LineKind, shocks: bool) -> None:
    line.kind = kind
    line.save()
    line.coils.update(tap_w=10.0)
    cautions = re.findall(r'<p class="caution">(.*?)</p>', page_of(browser, line).content.decode())
    assert any("can shock" in caution for caution in cautions) is shocks


def test_the_formula_stands_with_its_numbers(browser: Browser, line: Line) -> None:
    words = text_of(page_of(browser, line))
    assert "Strings in parallel 1 / (1/8 + 1/8) = 4 Ω" in words
    # 70 W into 4 Ω: U = √(70·4) = 16.7 V, and back U²/Z = 70 W.
    assert "At full output U²/Z = (16.7 V)² / 4 Ω = 70 W" in words


def test_every_single_fault_has_a_row(browser: Browser, line: Line) -> None:
    page = page_of(browser, line)
    rows = {row.what: (row.load, row.ohm, row.survives) for row in page.context["faults"]}
    assert rows == {
        "LS-1 open": ("", 8.0, "pass"),
        "LS-1 shorted": ("dead short", 0.0, "fail"),
        "LS-1 with plus and minus swapped": ("", 4.0, "pass"),
        "LS-2 open": ("", 8.0, "pass"),
        "LS-2 shorted": ("dead short", 0.0, "fail"),
        "LS-2 with plus and minus swapped": ("", 4.0, "pass"),
    }
    assert "LS-1 shorted dead short Fail The whole line goes silent" in text_of(page)


def test_the_schematic_is_drawn_for_a_phone_and_for_a_desk(browser: Browser, line: Line) -> None:
    page = page_of(browser, line).content.decode()
    assert page.count('class="drawing schematic"') == 2
    assert f'id="line-{line.pk}-wide-title"' in page
    assert f'id="line-{line.pk}-narrow-title"' in page


@pytest.mark.parametrize("value", [YesNoUnknown.YES, YesNoUnknown.UNKNOWN])
def test_no_change_is_offered_where_life_safety_may_be_touched(
    browser: Browser, line: Line, value: YesNoUnknown
) -> None:
    line.life_safety = value
    line.save()
    page = page_of(browser, line)
    assert "no change is offered" in text_of(page)
    for name in ("line-edit", "coil-new"):
        assert reverse(name, args=[line.pk]) not in page.content.decode()
    coil = line.coils.first()
    for name, pk in (
        ("line-edit", line.pk),
        ("coil-new", line.pk),
        ("coil-edit", coil.pk),
        ("coil-disconnect", coil.pk),
    ):
        refused = browser.post(reverse(name, args=[pk]), {"name": "Other", "channel": "9"})
        assert refused.status_code == 403
        assert heading_of(refused) == "Nothing on Bar line is changed here"
    assert Line.objects.get(pk=line.pk).name == "Bar line"
    assert line.coils.count() == 2


def test_an_owner_reads_the_line_without_buttons(line: Line, owner: User, sign_in: SignIn) -> None:
    page = page_of(sign_in(owner), line).content.decode()
    assert "Edit line" not in page
    assert "Disconnect" not in page


def test_a_line_without_loudspeakers_says_what_to_do(browser: Browser, line: Line) -> None:
    line.coils.all().delete()
    page = page_of(browser, line)
    assert answer_of(page) == "No loudspeaker is connected to this line, so there is no load to judge."
    assert "Connect a coil, or import a survey." in text_of(page)


def test_what_is_not_known_is_called_so(browser: Browser, line: Line, zone: Zone) -> None:
    bare = LineFactory(site=line.site, name="Old line", channel="2", amplifier=line.amplifier)
    unit = LoudspeakerFactory(site=line.site, zone=zone, label="LS-9", make_model=None)
    unit.coils.create(line=bare, string="1", order=1)
    page = page_of(browser, bare)
    assert answer_of(page) == "? Unknown : The impedance of LS-9 is not known, so the load is not either."
    assert "String 1, in series not known + cable not known, taken as 0 Ω = not known" in text_of(page)
