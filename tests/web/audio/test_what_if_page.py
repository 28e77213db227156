"""The page of "what if": shareable, nothing saved until accepted, refused where life safety may be touched."""

from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Coil, Line, LineKind, Loudspeaker, Zone
from registry.demo.factories import (
    AmplifierModelFactory,
    LoudspeakerFactory,
    LoudspeakerModelFactory,
    MakeModelFactory,
    RatingFactory,
)
from registry.equipment.models import MakeModel
from sites.models import User, YesNoUnknown
from tests.web.audio.conftest import add_loudspeakers
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, heading_of, queries_of, text_of


def page_of(browser: Browser, line: Line, **asked: object) -> Any:
    return browser.get(reverse("line-what-if", args=[line.pk]), asked)


def coil_of(line: Line, label: str) -> Coil:
    return line.coils.get(loudspeaker__label=label)


def in_series(line: Line) -> dict[str, object]:
    """LS-2 behind LS-1 on one string."""
    number = coil_of(line, "LS-2").pk
    return {f"s{number}": "LS-1", f"o{number}": "2"}


def one_more(model: MakeModel, zone: Zone, **changed: object) -> dict[str, object]:
    return {"ln1": "LS-3", "kn1": model.pk, "zn1": zone.pk, "sn1": "LS-3", "on1": "1", "mn1": "0"} | changed


def accept(browser: Browser, line: Line, asked: dict[str, object], **sent: str) -> Any:
    return browser.post(f"{reverse('line-what-if', args=[line.pk])}?{urlencode(asked)}", sent)


def sure(browser: Browser, line: Line, asked: dict[str, object]) -> Any:
    """Accept as a person does: the page asks first, and its answer carries what was seen."""
    asks = accept(browser, line, asked)
    assert asks.status_code == 200
    assert heading_of(asks) == f"Record this wiring of {line}?"
    return accept(browser, line, asked, sure="yes", seen=asks.context["form"]["seen"].value())


def test_the_page_starts_from_what_is_wired(browser: Browser, line: Line) -> None:
    page = page_of(browser, line)
    assert heading_of(page) == "What if on Bar line"
    assert answer_of(page).endswith("Nothing is saved until you accept it.")
    assert "after" not in page.context
    assert f'name="s{coil_of(line, "LS-1").pk}" value="LS-1"' in page.content.decode()
    assert "Accept: change the register" not in text_of(page)


def test_both_wirings_stand_side_by_side_with_their_numbers(browser: Browser, line: Line) -> None:
    page = page_of(browser, line, **in_series(line))
    # Two of 8 Ω: in parallel 4 Ω, in series 16 Ω.
    facts = {fact.name: (fact.before, fact.after) for fact in page.context["facts"]}
    assert facts["Impedance"] == ("4\xa0Ω", "16\xa0Ω")
    assert facts["Single faults that silence the whole line"] == ("2 of 6", "0 of 6")
    assert facts["Worst single fault"][0].startswith("LS-1 shorted: the channel sees a dead short")
    rows = {row.name: row.difference for row in page.context["rows"]}
    # Half the volts each (−6.02 dB), from a channel that gives √(40·8) instead of √(70·4) volts (+0.58 dB).
    assert rows == {"LS-1": "−5.4 dB", "LS-2": "−5.4 dB"}
    words = text_of(page)
    assert "Pass becomes" in answer_of(page)
    assert "every loudspeaker changes by −5.4 dB" in words.replace("Every", "every")
    assert "String LS-1: one open coil silences LS-1 and LS-2." in words
    assert "LS-2: string LS-2 becomes LS-1, order 1 becomes 2." in words
    assert page.content.decode().count('class="drawing schematic"') == 4
    assert set(Coil.objects.values_list("string", "order")) == {("LS-1", 1), ("LS-2", 1)}


def test_the_address_holds_only_what_is_changed(browser: Browser, line: Line) -> None:
    first, second = coil_of(line, "LS-1").pk, coil_of(line, "LS-2").pk
    sent = {f"s{first}": "LS-1", f"o{first}": "1", f"c{first}": "1.5 mm2", f"m{first}": "0", f"t{first}": "", "a": ""}
    sent |= {f"s{second}": "LS-1", f"o{second}": "2", f"m{second}": "0", "junk": "1", "ln1": "", "s999": "2"}
    page = page_of(browser, line, **sent)
    assert page.status_code == 302
    assert page.headers["Location"].split("?")[1] == f"s{second}=LS-1&o{second}=2"
    assert browser.get(page.headers["Location"]).status_code == 200


def test_a_value_that_is_cleared_becomes_unknown(browser: Browser, line: Line) -> None:
    number = coil_of(line, "LS-1").pk
    page = page_of(browser, line, **{f"m{number}": ""})
    assert page.context["after"].state.verdict == "unknown"
    assert page.context["changes"] == ["LS-1: length 0\xa0m becomes not known."]


def test_a_loudspeaker_more_is_judged_and_the_load_cautioned_about(browser: Browser, line: Line, zone: Zone) -> None:
    page = page_of(browser, line, **one_more(LoudspeakerModelFactory(), zone))
    # Three of 8 Ω in parallel: 8/3 = 2.67 Ω.
    assert "load the channel with 2.67 Ω; it allows 4 Ω or more" in answer_of(page)
    assert "Do not switch this load on" in text_of(page)
    assert not Loudspeaker.objects.filter(label="LS-3").exists()


def test_accepting_asks_first_and_then_writes_what_was_shown(browser: Browser, line: Line, zone: Zone) -> None:
    first = coil_of(line, "LS-1")
    asked = in_series(line) | {f"c{first.pk}": "18awg", f"m{first.pk}": "60 ft"}
    asked |= one_more(LoudspeakerModelFactory(), zone, sn1="2")
    shown = page_of(browser, line, **asked).context["after"].state
    response = sure(browser, line, asked)
    assert response.headers["Location"] == reverse("line", args=[line.pk])
    found = with_wiring(Line.objects.filter(pk=line.pk)).get()
    hangs = {c.loudspeaker.label: (c.string, c.order, c.cable, c.cable_m) for c in found.coils.all()}
    assert hangs == {
        "LS-1": ("LS-1", 1, "18 AWG", pytest.approx(18.288)),
        "LS-2": ("LS-1", 2, "1.5 mm2", 0.0),
        "LS-3": ("2", 1, "", 0.0),
    }
    assert load_of(found).impedance_ohm == pytest.approx(shown.load.impedance_ohm)
    assert (found.verdict, found.says) == (shown.verdict, shown.says)
    assert first.history.first().history_user.username == "tech"
    assert Loudspeaker.objects.get(label="LS-3").zone == zone


def test_asking_changes_nothing(browser: Browser, line: Line) -> None:
    asks = accept(browser, line, in_series(line))
    assert "LS-2: string LS-2 becomes LS-1, order 1 becomes 2." in text_of(asks)
    assert "Switch the amplifier off" in text_of(asks)
    assert coil_of(line, "LS-2").string == "LS-2"


def test_leaving_a_coil_out_disconnects_it_and_keeps_its_loudspeaker(browser: Browser, line: Line) -> None:
    asked: dict[str, object] = {f"x{coil_of(line, 'LS-2').pk}": "on"}
    assert page_of(browser, line, **asked).context["after"].state.load.impedance_ohm == 8.0
    assert sure(browser, line, asked).status_code == 302
    assert [coil.loudspeaker.label for coil in line.coils.all()] == ["LS-1"]
    assert Loudspeaker.objects.filter(label="LS-2").exists()


def test_a_wiring_that_changed_meanwhile_is_not_overwritten(browser: Browser, line: Line) -> None:
    asked = in_series(line)
    seen = accept(browser, line, asked).context["form"]["seen"].value()
    line.coils.filter(loudspeaker__label="LS-1").update(cable_m=9.0)
    refused = accept(browser, line, asked, sure="yes", seen=seen)
    assert refused.status_code == 422
    assert "Somebody changed the wiring of this line meanwhile" in text_of(refused)
    assert coil_of(line, "LS-2").string == "LS-2"


def test_another_amplifier_is_only_looked_at(browser: Browser, line: Line) -> None:
    strong = MakeModelFactory(name="Strong")
    RatingFactory(make_model=strong, load_ohm=8.0, power_w=160.0, min_load_ohm=2.0)
    item = line.amplifier.placements.get().item
    page = page_of(browser, line, a=strong.pk)
    # Four times the watts at 8 Ω and no rating at 4 Ω: the same source, √(160·8) instead of √(70·4) volts.
    assert {row.difference for row in page.context["rows"]} == {"+6.6 dB"}
    words = text_of(page)
    assert "The amplifier is not changed by this page" in words
    assert reverse("place", args=[line.amplifier_id]) in page.content.decode()
    assert "Accept: change the register" not in words
    assert accept(browser, line, {"a": strong.pk}, sure="yes", seen="x").status_code == 302
    both = page_of(browser, line, a=strong.pk, **in_series(line))
    assert "With the amplifier that is there now this wiring would be:" in text_of(both)
    assert sure(browser, line, in_series(line) | {"a": strong.pk}).status_code == 302
    assert coil_of(line, "LS-2").string == "LS-1"
    assert line.amplifier.placements.get().item == item


@pytest.mark.parametrize("value", [YesNoUnknown.YES, YesNoUnknown.UNKNOWN])
def test_a_line_that_may_serve_life_safety_is_not_even_tried(browser: Browser, line: Line, value: YesNoUnknown) -> None:
    asked = in_series(line)
    seen = accept(browser, line, asked).context["form"]["seen"].value()
    Line.objects.update(life_safety=value)
    for response in (page_of(browser, line, **asked), accept(browser, line, asked, sure="yes", seen=seen)):
        assert response.status_code == 403
        assert heading_of(response) == "Nothing on Bar line is changed here"
    assert coil_of(line, "LS-2").string == "LS-2"
    assert reverse("line-what-if", args=[line.pk]) not in browser.get(reverse("line", args=[line.pk])).content.decode()


def test_an_owner_may_look_and_not_accept(line: Line, owner: User, stranger: User, sign_in: SignIn) -> None:
    asked = in_series(line)
    page = page_of(sign_in(owner), line, **asked)
    assert page.context["after"].state.load.impedance_ohm == 16.0
    assert "Accept: change the register" not in text_of(page)
    assert accept(sign_in(owner), line, asked, sure="yes", seen=page.context["mark"]).status_code == 403
    assert accept(sign_in(stranger), line, asked).status_code == 404
    assert page_of(sign_in(stranger), line).status_code == 404
    assert coil_of(line, "LS-2").string == "LS-2"


@pytest.mark.parametrize(
    ("letter", "value"),
    [
        ("o", "0"),
        ("o", "70000"),
        ("o", "one"),
        ("s", ""),
        ("s", "x" * 41),
        ("c", "thick"),
        ("m", "1,5"),
        ("m", "5001"),
        ("m", "1e99"),
        ("m", "-1"),
    ],
)
def test_what_can_not_be_is_refused_beside_its_field_and_stays(
    browser: Browser, line: Line, letter: str, value: str
) -> None:
    number = coil_of(line, "LS-1").pk
    page = page_of(browser, line, **{f"{letter}{number}": value})
    assert page.status_code == 422
    form = page.context["asked"].hanging[0]
    name = {"o": "order", "s": "string", "c": "cable", "m": "cable_m"}[letter]
    assert list(form.errors) == [name]
    assert form[name].value() == value
    assert f'id="id_{letter}{number}_error"' in page.content.decode()
    assert accept(browser, line, {f"{letter}{number}": value}, sure="yes").status_code == 422


@pytest.mark.parametrize("value", ["0", "0.001", "6000", "1e300", "-5", "lots"])
def test_a_tap_that_no_transformer_has_is_refused(browser: Browser, line: Line, value: str) -> None:
    Line.objects.update(kind=LineKind.V100)
    line.coils.update(tap_w=10.0)
    page = page_of(browser, line, **{f"t{coil_of(line, 'LS-1').pk}": value})
    assert page.status_code == 422
    assert list(page.context["asked"].hanging[0].errors) == ["tap_w"]


def test_a_position_that_is_taken_is_refused_beside_the_order(browser: Browser, line: Line) -> None:
    page = page_of(browser, line, **{f"s{coil_of(line, 'LS-2').pk}": "LS-1"})
    assert page.status_code == 422
    says = "position 1 of string LS-1 is already taken by LS-1"
    assert page.context["asked"].hanging[1].errors == {"order": [says]}


def test_a_new_loudspeaker_needs_its_own_label_a_model_and_a_zone(browser: Browser, line: Line, zone: Zone) -> None:
    model = LoudspeakerModelFactory()
    LoudspeakerFactory(site=line.site, label="LS-8")
    wrong = {
        "label": one_more(model, zone, ln1="LS-8"),
        "model": one_more(model, zone, kn1=""),
        "zone": one_more(model, zone, zn1=""),
        "order": one_more(model, zone, on1=""),
    }
    for name, asked in wrong.items():
        page = page_of(browser, line, **asked)
        assert page.status_code == 422
        assert list(page.context["asked"].joining[0].errors) == [name]
    foreign = page_of(browser, line, **one_more(AmplifierModelFactory(), zone))
    assert list(foreign.context["asked"].joining[0].errors) == ["model"]
    twice = one_more(model, zone) | {"ln2": "LS-3", "kn2": model.pk, "zn2": zone.pk, "sn2": "4", "on2": "1"}
    assert list(page_of(browser, line, **twice).context["asked"].joining[1].errors) == ["label"]


def test_whatever_drives_a_line_can_be_chosen_with_its_rating(browser: Browser, line: Line) -> None:
    driving = MakeModelFactory(name="Streamer", kind="endpoint")
    for load_ohm, power_w in ((8.0, 20.0), (4.0, 30.0)):
        RatingFactory(make_model=driving, load_ohm=load_ohm, power_w=power_w, min_load_ohm=4.0)
    MakeModelFactory(name="Switch", kind="switch")
    offered = [words for _, words in page_of(browser, line).context["asked"].amplifier.fields["amplifier"].choices]
    assert offered[0] == f"As it is: {line.amplifier.placements.get().item.make_model}"
    assert offered[1:] == [f"{driving}: 30 W into 4 Ω, 20 W into 8 Ω, 4 Ω or more"]


def test_the_input_is_bounded(browser: Browser, line: Line, zone: Zone, monkeypatch: pytest.MonkeyPatch) -> None:
    rows: dict[str, object] = {}
    for number in range(1, 12):
        rows |= {f"ln{number}": f"N-{number}"}
    assert len(page_of(browser, line, **rows).context["asked"].joining) == 8
    monkeypatch.setattr("registry.web.audio.what_if_views.MOST_COILS", 1)
    page = page_of(browser, line)
    assert answer_of(page) == "This line has 2 coils; up to 1 can be compared on one page."
    assert "asked" not in page.context


def test_an_empty_line_can_be_tried_on(browser: Browser, line: Line, zone: Zone) -> None:
    model = LoudspeakerModelFactory()
    line.coils.all().delete()
    assert page_of(browser, line).status_code == 200
    page = page_of(browser, line, **one_more(model, zone))
    assert page.context["after"].state.load.impedance_ohm == 8.0


def test_the_page_costs_the_same_with_one_coil_as_with_three(browser: Browser, line: Line, zone: Zone) -> None:
    address, model = reverse("line-what-if", args=[line.pk]), LoudspeakerModelFactory()
    coil_of(line, "LS-2").delete()

    def cost(asked: dict[str, object]) -> int:
        return queries_of(browser, f"{address}?{urlencode(asked)}")

    def two_more() -> dict[str, object]:
        second = {"ln2": "LS-9", "kn2": model.pk, "zn2": zone.pk, "sn2": "9", "on2": "1", "mn2": "0"}
        return one_more(model, zone, ln1="LS-7", sn1="7") | second

    first = coil_of(line, "LS-1").pk
    one, untouched = cost({f"c{first}": "18 AWG"}), cost({})
    add_loudspeakers(line, zone, "LS-3", "LS-4")
    AmplifierModelFactory()
    three = {f"c{coil.pk}": "18 AWG" for coil in line.coils.all()}
    assert cost(three) == cost(three | two_more()) == one
    assert cost({}) == untouched
