"""The whole sequence with plain forms: interrupted, resumed by somebody else elsewhere, frozen, handed over."""

import hashlib
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Line, Zone
from registry.baselines.models import Baseline, Reading
from registry.demo.factories import (
    BaselineFactory,
    ConfigurationRecordFactory,
    ReadingFactory,
    SettingFactory,
    UserFactory,
)
from registry.equipment.models import Place
from registry.planning.models import Commissioning, LineMeasurement
from sites.models import Role, Site, User, YesNoUnknown
from tests.web.commissioning.conftest import LEVEL
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, text_of

TRACK = b"RIFF pink noise"


def next_of(browser: Browser, run: Commissioning) -> str:
    """Return where the overview leads on."""
    page = browser.get(reverse("commissioning", args=[run.pk]))
    return str(page.context["next"]["words"])


def send(browser: Browser, address: str, data: dict[str, Any]) -> Any:
    """Send a form as the page shows it: with the hidden fields of its step."""
    response = browser.post(address, data, follow=True)
    assert response.status_code == 200, text_of(response)
    return response


def test_from_start_to_hand_over_by_two_techs(
    line: Line, zone: Zone, place: Place, browser: Browser, sign_in: SignIn
) -> None:
    site = line.site
    SettingFactory(record=ConfigurationRecordFactory(place=place), key="source", value="Stream 1")
    assert "never commissioned" in answer_of(browser.get(reverse("commissionings", args=[site.code])))
    send(browser, reverse("commissioning-start", args=[site.code]), {})
    run = Commissioning.objects.get()
    assert next_of(browser, run) == "Reference track: file and level"

    sent = {"track_name": "Pink 1", "track_level_dbfs": "-20", "file": SimpleUploadedFile("pink.wav", TRACK)}
    page = send(browser, reverse("commissioning-track", args=[run.pk]), sent)
    assert hashlib.sha256(TRACK).hexdigest() in text_of(page)
    assert next_of(browser, run) == "L1: impedance"

    impedance = reverse("commissioning-impedance", args=[run.pk, line.pk])
    page = send(browser, impedance, {"impedance_ohm": "4.3", "frequency_hz": "1 kHz"})
    assert "4.3 Ω at 1000 Hz against 4.01 Ω computed, +7 %" in text_of(page)
    assert "One loudspeaker of 2 lost would raise it by 100 %" in text_of(page)

    # Interrupted here. Somebody else, on another device, is led to the step after it.
    other = sign_in(UserFactory(role=Role.TECH, username="other"))
    site_page = other.get(reverse("site", args=[site.code]))
    assert "A commissioning is open since" in text_of(site_page)
    overview = other.get(reverse("commissioning", args=[run.pk]))
    assert "Where you were: L1, impedance tech" in text_of(overview)
    assert next_of(other, run) == "L1: polarity"
    send(other, reverse("commissioning-polarity", args=[run.pk, line.pk]), {"polarity": "ok"})
    assert next_of(other, run) == "Hall 1: spot"

    send(other, reverse("commissioning-spot", args=[run.pk, zone.pk]), {"spot": "P1 by the stage"})
    send(other, reverse("commissioning-as-found", args=[run.pk, zone.pk]), LEVEL)
    page = send(other, reverse("commissioning-wanted", args=[run.pk, zone.pk]), {"wanted_db": "62"})
    words = text_of(page)
    assert "Set the cap to 60 % and the dial to 50 %" in words  # common practice: 30 % uncapped is 60 % at 50 %
    assert "Predicted: 62.0 dB(A) from the music alone, 62.1 dB(A) on the meter" in words

    trial = reverse("commissioning-trial", args=[run.pk, zone.pk])
    page = send(browser, trial, LEVEL | {"dial": "50", "cap": "60", "level_db": "63.1", "seen": "0"})
    assert "1.1 dB above, inside the tolerance" in text_of(page)
    assert "Set the cap to 53 % and the dial to 50 %" in text_of(page)
    page = send(browser, trial, LEVEL | {"dial": "50", "cap": "53", "level_db": "62", "seen": "1"})
    accept = reverse("commissioning-accept", args=[run.pk, zone.pk])
    page = send(browser, accept, {"trial": run.trials.last().pk})
    assert answer_of(page) == "Left at 62.0 dB(A) with dial 50 %, cap 53 %."
    assert "Locked" in text_of(page)

    told = {"passed": "yes", "says": "plays Stream 1 after 40 s"}
    send(browser, reverse("commissioning-place", args=[run.pk, place.pk]), told)
    assert next_of(browser, run) == "What is missing, and freeze"
    page = browser.get(reverse("commissioning-freeze", args=[run.pk]))
    assert answer_of(page) == "Nothing is missing: the baseline will be complete."
    signed = {"reason": "Commissioning", "signature": "T. Tech"}
    page = send(browser, reverse("commissioning-freeze", args=[run.pk]), signed)
    assert answer_of(page) == "Complete: nothing was missing when it was frozen."
    frozen = Baseline.objects.get()
    assert frozen.content["zones"]["Hall 1"]["cap"] == 53.0
    assert (
        frozen.content["places"]["Amplifier 1"]["settings"]["power-cut test"][0] == "passed: plays Stream 1 after 40 s"
    )

    handed = {"handed_to": "Manager on duty", "training": "Volume, whom to call"}
    page = send(browser, reverse("commissioning-hand-over", args=[run.pk]), handed)
    assert answer_of(page).startswith("Handed over to Manager on duty on ")
    assert answer_of(page).endswith(", complete.")
    assert "None is open" in text_of(browser.get(reverse("commissionings", args=[site.code])))


def test_what_is_refused_stands_beside_its_field_and_keeps_what_was_typed(
    run: Commissioning, line: Line, browser: Browser
) -> None:
    response = browser.post(reverse("commissioning-impedance", args=[run.pk, line.pk]), {"impedance_ohm": "4.3"})
    assert response.status_code == 422
    page = response.content.decode()
    assert 'value="4.3"' in page
    assert 'id="id_frequency_hz_error"' in page or 'id="impedance-frequency_hz_error"' in page
    assert "without its frequency can&#x27;t be compared" in page
    both = {"impedance_ohm": "4.3", "is_open": "on", "frequency_hz": "1000"}
    response = browser.post(reverse("commissioning-impedance", args=[run.pk, line.pk]), both)
    assert response.status_code == 422
    assert "An open line has no value" in text_of(response)
    neither = {"frequency_hz": "1000"}
    response = browser.post(reverse("commissioning-impedance", args=[run.pk, line.pk]), neither)
    assert "Give a value, or say that the line is open" in text_of(response)
    assert not LineMeasurement.objects.exists()


@pytest.mark.parametrize(
    ("route", "sent", "says"),
    [
        ("commissioning-polarity", {"polarity": "reversed"}, "Say which loudspeakers are reversed."),
        ("commissioning-polarity", {}, "Fill this in."),
        ("commissioning-impedance", {"impedance_ohm": "4 bananas", "frequency_hz": "1000"}, "4 bananas"),
        ("commissioning-impedance", {"impedance_ohm": "-4", "frequency_hz": "1000"}, "outside the allowed range"),
    ],
)
def test_nothing_wrong_is_recorded_of_a_line(
    run: Commissioning, line: Line, browser: Browser, route: str, sent: dict[str, str], says: str
) -> None:
    response = browser.post(reverse(route, args=[run.pk, line.pk]), sent)
    assert response.status_code == 422
    assert says in text_of(response)
    assert not LineMeasurement.objects.exists()


@pytest.mark.parametrize(
    ("route", "sent", "says"),
    [
        ("commissioning-spot", {"spot": " "}, "Fill this in."),
        ("commissioning-as-found", {"dial": "50"}, "Fill this in."),
        ("commissioning-as-found", LEVEL | {"dial": "130"}, "at most 100 %"),
        ("commissioning-wanted", {"wanted_db": ""}, "Fill this in."),
        ("commissioning-trial", LEVEL | {"dial": ""}, "Say where it stood"),
        ("commissioning-trial", LEVEL | {"cap": "0"}, "Say where it stood"),
    ],
)
def test_nothing_wrong_is_recorded_of_a_zone(
    run: Commissioning, zone: Zone, browser: Browser, route: str, sent: dict[str, str], says: str
) -> None:
    response = browser.post(reverse(route, args=[run.pk, zone.pk]), sent)
    assert response.status_code == 422
    assert says in text_of(response)
    assert not Reading.objects.exists()
    assert not run.trials.exists()


def test_a_typed_hash_is_taken_as_programs_print_it_and_a_wrong_one_is_refused(
    run: Commissioning, browser: Browser
) -> None:
    track = reverse("commissioning-track", args=[run.pk])
    send(browser, track, {"track_name": "Pink 1", "track_sha256": f"{'AB' * 32} *pink.wav"})
    run.refresh_from_db()
    assert run.track_sha256 == "ab" * 32
    version = run.steps.get().version
    response = browser.post(track, {"track_name": "Pink 1", "track_sha256": "abc", "seen": version})
    assert response.status_code == 422
    assert "64 hexadecimal digits" in text_of(response)
    file = SimpleUploadedFile("pink.wav", TRACK)
    response = browser.post(track, {"track_name": "Pink 1", "track_sha256": "ab" * 32, "file": file, "seen": version})
    assert f"The chosen file has {hashlib.sha256(TRACK).hexdigest()}" in text_of(response)


def test_a_step_that_could_not_be_done_says_why(run: Commissioning, line: Line, browser: Browser) -> None:
    could_not = reverse("commissioning-could-not", args=[run.pk])
    key = f"line:{line.pk}:impedance"
    response = browser.post(could_not, {"key": key, "why": ""})
    assert response.status_code == 422
    assert "Say why it could not be done." in text_of(response)
    page = send(browser, could_not, {"key": key, "why": "terminals behind the freezer"})
    assert "Could not be done: terminals behind the freezer" in text_of(page)
    assert next_of(browser, run) == "L1: polarity"
    overview = text_of(browser.get(reverse("commissioning", args=[run.pk])))
    assert "L1, impedance: could not be done: terminals behind the freezer" in overview
    # What is no step leads back to the overview.
    response = browser.post(could_not, {"key": "line:0:impedance", "why": "x"})
    assert response.headers["Location"] == reverse("commissioning", args=[run.pk])


def test_what_somebody_else_recorded_meanwhile_is_not_overwritten(
    run: Commissioning, line: Line, browser: Browser
) -> None:
    impedance = reverse("commissioning-impedance", args=[run.pk, line.pk])
    sent = {"impedance_ohm": "4.3", "frequency_hz": "1000", "seen": ""}
    send(browser, impedance, sent)
    response = browser.post(impedance, sent)
    assert response.status_code == 422
    assert "this step was answered meanwhile by tech" in text_of(response)
    assert LineMeasurement.objects.count() == 1


@pytest.mark.parametrize("flag", [YesNoUnknown.YES, YesNoUnknown.UNKNOWN])
def test_life_safety_is_named_and_offers_nothing(
    run: Commissioning, line: Line, zone: Zone, place: Place, browser: Browser, flag: YesNoUnknown
) -> None:
    Line.objects.update(life_safety=flag)
    for address in (
        reverse("commissioning-line", args=[run.pk, line.pk]),
        reverse("commissioning-zone", args=[run.pk, zone.pk]),
        reverse("commissioning-place", args=[run.pk, place.pk]),
    ):
        page = browser.get(address)
        assert "Not to be altered." in text_of(page)
        assert page.content.decode().count('method="post"') == 1  # sign out
    overview = text_of(browser.get(reverse("commissioning", args=[run.pk])))
    assert "3 excluded for life safety: L1, Hall 1, Amplifier 1." in overview
    sent = {"impedance_ohm": "4.3", "frequency_hz": "1000"}
    page = browser.post(reverse("commissioning-impedance", args=[run.pk, line.pk]), sent, follow=True)
    assert "Nothing was recorded." in text_of(page)
    assert not LineMeasurement.objects.exists()


def test_exceptions_are_shown_before_signing_and_have_to_be_accepted(run: Commissioning, browser: Browser) -> None:
    freeze = reverse("commissioning-freeze", args=[run.pk])
    words = text_of(browser.get(freeze))
    assert "Not done yet" in words
    assert "Hall 1: spot, as found and as left not recorded." in words
    assert "Zone Hall 1 has no level" in words
    signed = {"reason": "Commissioning", "signature": "T. Tech"}
    response = browser.post(freeze, signed)
    assert response.status_code == 422
    assert "Tick this if it was agreed" in text_of(response)
    page = send(browser, freeze, signed | {"with_exceptions": "on"})
    assert answer_of(page).startswith("Complete with ")
    assert "L1: impedance and polarity not recorded." in text_of(page)


def test_a_frozen_run_shows_its_steps_without_forms_and_says_so(
    run: Commissioning, line: Line, browser: Browser
) -> None:
    signed = {"reason": "Commissioning", "signature": "T. Tech", "with_exceptions": "on"}
    send(browser, reverse("commissioning-freeze", args=[run.pk]), signed)
    assert "2 not recorded" in text_of(browser.get(reverse("commissioning", args=[run.pk])))
    page = browser.get(reverse("commissioning-line", args=[run.pk, line.pk]))
    assert "The baseline is frozen, so nothing more is recorded here." in text_of(page)
    sent = {"impedance_ohm": "4.3", "frequency_hz": "1000"}
    page = browser.post(reverse("commissioning-impedance", args=[run.pk, line.pk]), sent, follow=True)
    assert "Nothing was recorded." in text_of(page)
    assert not LineMeasurement.objects.exists()


def test_a_run_is_stopped_with_a_reason(run: Commissioning, site: Site, browser: Browser) -> None:
    stop = reverse("commissioning-stop", args=[run.pk])
    assert browser.post(stop, {"because": ""}).status_code == 422
    page = send(browser, stop, {"because": "Wrong site"})
    assert "by tech: Wrong site" in answer_of(page)
    again = text_of(browser.get(reverse("commissionings", args=[site.code])))
    assert "stopped: Wrong site" in again
    assert "Start commissioning" in again


def test_cautions_stand_beside_the_work(
    run: Commissioning, line: Line, zone: Zone, place: Place, browser: Browser
) -> None:
    Line.objects.update(kind="100")
    on_line = text_of(browser.get(reverse("commissioning-line", args=[run.pk, line.pk])))
    assert "Amplifier off, this line off its terminals" in on_line
    assert "A 70.7 or 100 V line can shock" in on_line
    on_zone = text_of(browser.get(reverse("commissioning-zone", args=[run.pk, zone.pk])))
    assert "insulated CAT-rated probes" in on_zone
    assert "Router labels usually print the Wi-Fi key" in on_zone
    assert "Pull this unit's own plug" in text_of(browser.get(reverse("commissioning-place", args=[run.pk, place.pk])))
    sent = LEVEL | {"level_db": "84"}
    loud = send(browser, reverse("commissioning-as-found", args=[run.pk, zone.pk]), sent)
    assert "80 dB(A) or more: staff exposure may need assessment" in text_of(loud)


def test_the_line_page_keeps_the_history(run: Commissioning, line: Line, browser: Browser, tech: User) -> None:
    empty = text_of(browser.get(reverse("line", args=[line.pk])))
    assert "Not measured yet." in empty
    impedance = reverse("commissioning-impedance", args=[run.pk, line.pk])
    send(browser, impedance, {"impedance_ohm": "4.0", "frequency_hz": "1000"})
    seen = run.steps.get().version
    send(browser, impedance, {"impedance_ohm": "8.1", "frequency_hz": "1000", "seen": seen})
    words = text_of(browser.get(reverse("line", args=[line.pk])))
    assert "8.10 Ω at 1000 Hz" in words or "8.1 Ω at 1000 Hz" in words
    assert "+102 %, more than ±10 %" in words
    seen = run.steps.get().version
    send(browser, impedance, {"impedance_ohm": "4.1", "frequency_hz": "1000", "seen": seen, "corrects": "on"})
    words = text_of(browser.get(reverse("line", args=[line.pk])))
    assert "(corrected, doesn't count)" in words
    assert "+2 %" in words


def test_settings_that_were_recorded_before_the_run_are_asked_for_again(
    run: Commissioning, place: Place, browser: Browser
) -> None:
    at = reverse("commissioning-place", args=[run.pk, place.pk])
    assert "None are recorded yet" in text_of(browser.get(at))
    SettingFactory(record=ConfigurationRecordFactory(place=place), key="source", value="Stream 1")
    assert "That was before this commissioning: record them again" in text_of(browser.get(at))
    SettingFactory(record=ConfigurationRecordFactory(place=place, taken_at=timezone.now()), key="cap", value="53")
    assert "before this commissioning" not in text_of(browser.get(at))


def test_where_the_cap_would_pass_100_percent_the_page_says_what_to_do(
    run: Commissioning, zone: Zone, browser: Browser
) -> None:
    send(browser, reverse("commissioning-as-found", args=[run.pk, zone.pk]), LEVEL | {"dial": "80"})
    words = text_of(send(browser, reverse("commissioning-wanted", args=[run.pk, zone.pk]), {"wanted_db": "62"}))
    assert "Set the cap to 100 % and the dial to 80 %" in words
    assert "would have to be 160 %, and a cap ends at 100 %. Raise the gain before this control by 4.1 dB" in words


def test_a_wanted_level_is_suggested_from_what_was_agreed_or_found(
    run: Commissioning, zone: Zone, browser: Browser
) -> None:
    at = reverse("commissioning-zone", args=[run.pk, zone.pk])
    assert browser.get(at).context["wanted_form"].initial["wanted_db"] is None
    # Without the background: K1 at 8 dB apart is 0.75 dB (ISO 3744).
    found = LEVEL | {"level_db": "60", "background_db": "52"}
    send(browser, reverse("commissioning-as-found", args=[run.pk, zone.pk]), found)
    assert browser.get(at).context["wanted_form"].initial["wanted_db"] == 59.3
    ReadingFactory(zone=zone, level_db=57.0, taken_at=timezone.now())
    BaselineFactory(site=run.site)
    assert browser.get(at).context["wanted_form"].initial["wanted_db"] == 57.0
