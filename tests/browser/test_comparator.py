"""The comparator in Chromium: its arithmetic is Python's, its levels are those of the sound it hears."""

import math
import re
import wave
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Browser, Page, expect
from scipy import signal as scipy_signal

from registry.audio.models import Zone
from registry.demo.factories import BaselineFactory, ReadingFactory, UserFactory, ZoneFactory
from registry.engineering.background import correct_for_background
from registry.engineering.measure import Occasion, compare, mean_and_uncertainty, without_background
from registry.engineering.signal import pink_noise
from registry.engineering.weighting import exact_frequency_hz, weighting_filter
from sites.models import Role
from tests.browser.conftest import CHROMIUM, FLAGS
from tests.engineering.reference import table

pytestmark = pytest.mark.django_db(transaction=True)

RATE = 48000
STRETCH_S = 1.0
BLOCKS = 10  # of a tenth of a second in a stretch
FAKE_MICROPHONE = ("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream")
Visit = Callable[..., Page]


def tone(frequency_hz: float, seconds: float, peak: float) -> Any:
    return peak * np.sin(2 * math.pi * frequency_hz * np.arange(round(seconds * RATE)) / RATE)


def pink(seconds: float, rms_dbfs: float) -> Any:
    """One second of pink noise over and over: any whole second of it has the same level."""
    second = pink_noise(1.0, seed=5).samples * 10 ** ((rms_dbfs + 20) / 20)
    return np.resize(second, round(seconds * RATE))


def write_wav(path: Path, *parts: Any) -> Path:
    samples = np.round(np.concatenate(parts) * 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples.tobytes())
    return path


@pytest.fixture
def zone(db: None) -> Zone:
    zone = ZoneFactory(name="Bar", tolerance_db=1.5)
    ReadingFactory(zone=zone, level_db=63.0)
    BaselineFactory(site=zone.site)
    return zone


@pytest.fixture
def visit(chromium: Browser, live_server: Any, zone: Zone) -> Iterator[Visit]:
    """Open the zone's comparator as a tech on a phone, in this browser or in one that hears a file."""
    open_browsers, open_contexts = [], []

    def opened(heard: Path | None = None, flags: tuple[str, ...] = FAKE_MICROPHONE, **context: Any) -> Page:
        browser = chromium
        if flags:
            hears = [f"--use-file-for-fake-audio-capture={heard}"] if heard else []
            launch = chromium.browser_type.launch
            browser = launch(executable_path=str(CHROMIUM), args=[*FLAGS, *flags, *hears])
            open_browsers.append(browser)
        tech = Client()
        tech.force_login(UserFactory(role=Role.TECH))
        made = browser.new_context(viewport={"width": 390, "height": 844}, **context)
        open_contexts.append(made)
        cookie = tech.cookies[settings.SESSION_COOKIE_NAME].value
        made.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": str(live_server)}])
        page = made.new_page()
        page.set_default_timeout(20_000)
        page.goto(f"{live_server}/zones/{zone.pk}/comparator/")
        expect(page.locator("#status")).to_have_text("The microphone is off.")
        return page

    yield opened
    for each in (*open_contexts, *open_browsers):
        each.close()


# The real chain: a file is heard by Chromium's microphone, weighed in the audio thread, and read here.

GAINS_DB = (0.0, -3.0, -10.0, -20.0, -30.0, -40.0)
TONES_HZ = (40.0, 100.0, 5000.0)
HEAR = """async (blocks) => {
  const heard = [];
  await new Promise((enough, fail) => Microphone.open({
    worklet: document.getElementById("comparator").dataset.worklet,
    filters: given.filters,
    onLost: fail,
    onBlock: (block) => heard.push(block) === blocks && enough(),
  }).catch(fail));
  return heard;
}"""


def test_differences_are_right_over_40_db_and_tones_weigh_as_the_standard_says(visit: Visit, tmp_path: Path) -> None:
    sines = [tone(1000.0, STRETCH_S, 0.9 * 10 ** (gain / 20)) for gain in GAINS_DB]
    others = [tone(exact_frequency_hz(nominal), STRETCH_S, 0.9) for nominal in TONES_HZ]
    noises = [pink(STRETCH_S, -14.0 + gain) for gain in GAINS_DB[::2]]
    parts = [*sines, *others, *noises]
    page = visit(write_wav(tmp_path / "levels.wav", np.zeros(RATE), *parts, np.zeros(RATE)))
    heard = page.evaluate(HEAR, BLOCKS * (len(parts) + 2))
    onset = next(index for index, block in enumerate(heard) if block["peak"] > 0.5)

    def levels(curve: str) -> list[float]:
        middle = [heard[onset + BLOCKS * n + 4 : onset + BLOCKS * n + 9] for n in range(len(parts))]
        sums = [(sum(b[curve] for b in blocks), sum(b["frames"] for b in blocks)) for blocks in middle]
        return [10 * math.log10(total / frames) for total, frames in sums]

    for curve in ("a", "c"):
        found = levels(curve)
        assert [each - found[0] for each in found[: len(sines)]] == pytest.approx(GAINS_DB, abs=0.2)
        first_noise = len(sines) + len(others)
        differences = [each - found[first_noise] for each in found[first_noise:]]
        assert differences == pytest.approx(GAINS_DB[::2], abs=0.2)
    assert levels("a")[0] == pytest.approx(20 * math.log10(0.9 / math.sqrt(2)), abs=0.2)

    # IEC 61672-1:2013, Table 3, through tests/reference/weighting.csv: A and C of tones re 1 kHz.
    for curve in ("a", "c"):
        wanted = {
            row.inputs["f_nominal_Hz"]: row.expected
            for row in table("weighting")
            if row.quantity == f"{curve.upper()}_weighting"
        }
        found = levels(curve)
        for index, nominal in enumerate(TONES_HZ):
            assert found[len(sines) + index] - found[0] == pytest.approx(wanted[nominal], abs=0.3), nominal


def test_a_visit_and_the_next_one_tell_the_difference(visit: Visit, tmp_path: Path) -> None:
    parts = (pink(5.5, -60.0), pink(5.5, -30.0), pink(5.5, -32.3))
    page = visit(write_wav(tmp_path / "visits.wav", *parts))
    page.evaluate("document.querySelector('#length option').value = '2'")
    page.get_by_role("button", name="Turn the microphone on").click()
    page.get_by_label("Read for").select_option("2")
    page.get_by_role("button", name="1. Background").click()
    expect(page.locator("#status")).to_contain_text("Now play the track")

    def read_when_heard(low: float, high: float) -> None:
        page.evaluate(
            """([low, high]) => new Promise((heard) => {
              const seen = setInterval(() => {
                const level = Number(document.getElementById("now").textContent.replace("−", "-").replace(" dB", ""));
                if (low < level && level < high) heard(clearInterval(seen));
              }, 50);
            })""",
            [low, high],
        )
        page.get_by_role("button", name="2. Level").click()
        expect(page.locator("#result")).to_be_visible()

    read_when_heard(-33.5, -32.0)  # this pink noise is 2.9 dB lower by A weighting
    assert "no reference to compare it with" in page.locator("#difference").inner_text()
    page.get_by_label("How the phone lay").fill("flat on the till")
    page.get_by_role("button", name="This is the baseline level").click()
    expect(page.locator("#status")).to_contain_text("Kept in this browser")
    page.locator("#result").evaluate("(result) => { result.hidden = true; }")
    read_when_heard(-35.6, -34.9)
    found = re.fullmatch(
        r"(\d\.\d) dB below this phone's reading at baseline 1 \(\d+ \w+ \d{4}\)\.",
        page.locator("#difference").inner_text(),
    )
    assert found is not None
    assert float(found[1]) == pytest.approx(2.3, abs=0.2)
    assert "63.0 dB(A) at baseline 1; about 60." in page.locator("#facts").inner_text()
    assert "The phone lay: flat on the till." in page.inner_text("main")


# The arithmetic, against Python's and SciPy's.

FILTERED = """([curve, rate, samples]) => {
  const weighting = new Weighting(given.filters[rate][curve]);
  return samples.map((sample) => weighting.next(sample));
}"""


def test_filter_background_and_guard_band_are_those_of_python(visit: Visit) -> None:
    page = visit(flags=())
    page.add_script_tag(url=page.locator("#comparator").get_attribute("data-worklet"))
    samples = np.random.default_rng(3).standard_normal(3000)
    for rate in (44100, 48000):
        for curve in ("A", "C"):
            wanted = scipy_signal.sosfilt(weighting_filter(curve, float(rate)), samples)
            found = page.evaluate(FILTERED, [curve, str(rate), samples.tolist()])
            assert found == pytest.approx(wanted, abs=1e-9)

    for difference in (-1.0, 0.0, 5.9, 6.0, 9.3, 14.9, 15.0, 40.0):
        wanted = correct_for_background(-40.0, -40.0 - difference)
        found = page.evaluate(
            "(background) => Levels.withoutBackground(-40, background, given.background)", -40 - difference
        )
        if wanted.level_db is None:
            assert found is None
        else:
            assert found == {"level_db": pytest.approx(wanted.level_db), "growth": pytest.approx(wanted.growth)}

    here = Occasion("this phone", "P1", "track 1")
    then = mean_and_uncertainty([60.0], "phone", occasion=here)
    for change in (-4.0, -1.9, -0.4, 0.0, 0.9, 1.2, 2.7):
        now = without_background(mean_and_uncertainty([60.0 + change], "phone", occasion=here), 48.0)
        assert now is not None
        wanted = compare(now, then, 1.5)
        growth = now.repeat_db / then.repeat_db
        read = [{"repeat_db": now.repeat_db, "growth": growth}, {"repeat_db": then.repeat_db, "growth": 1}]
        guard = page.evaluate("([now, then]) => Levels.guard(now, then, given.uncertainty)", read)
        assert guard == pytest.approx(wanted.guard_db, abs=1e-6)
        judged = page.evaluate("([change, guard]) => Levels.verdict(change, 1.5, guard)", [wanted.change_db, guard])
        assert judged == wanted.verdict


# What it says. Blocks are fed where the microphone's would arrive, so that nobody waits.

FED = """(name) => {
  Microphone.open = async ({ onBlock, onLost }) => {
    window.lose = onLost;
    window.feed = (level, { blocks = 110, peak = 0.1 } = {}) => {
      const power = 4800 * 10 ** (level / 10);
      for (let i = 0; i < blocks; i += 1) onBlock({ frames: 4800, a: power, c: power, peak });
    };
    return { name, rate: 48000, close() {} };
  };
}"""


def turn_on(page: Page, name: str = "Built-in") -> None:
    page.evaluate(FED, name)
    page.get_by_role("button", name="Turn the microphone on").click()
    page.get_by_label("Read for").select_option("10")


def read(page: Page, button: str, level_db: float, **more: float) -> None:
    page.get_by_role("button", name=button).click()
    page.evaluate("([level, more]) => feed(level, more)", [level_db, more])


def refused(page: Page) -> str:
    alert = page.get_by_role("alert")
    expect(alert).to_be_visible()
    assert page.locator("#refused-do").inner_text().endswith(".")
    return alert.inner_text()


def test_a_reference_is_kept_by_baseline_and_compared_only_with_the_same_microphone(visit: Visit, zone: Zone) -> None:
    page = visit(flags=())
    expect(page.get_by_text("This phone holds no reference for Bar")).to_be_visible()
    turn_on(page)
    read(page, "1. Background", -70)
    read(page, "2. Level", -40)
    page.get_by_role("button", name="This is the baseline level").click()
    expect(page.locator("#keeping")).to_be_hidden()

    BaselineFactory(site=zone.site)
    page.reload()
    expect(page.get_by_text("This phone holds no reference of baseline 2, only older ones.")).to_be_visible()
    page.context.set_offline(True)  # everything that a reading needs lies in the page
    turn_on(page)
    read(page, "1. Background", -70)
    for level, says in (
        (-40.0, "Within tolerance: As loud as this phone's reading at baseline 1"),
        (-43.1, "Out of tolerance: 3.1 dB below this phone's reading at baseline 1"),
        (-38.2, "Undecided: 1.8 dB above this phone's reading at baseline 1"),
    ):
        read(page, "2. Level", level)
        assert page.locator(".difference").inner_text().strip().startswith(says)
    assert "+1.8 dB, give or take 1.0 dB" in page.locator("#facts").inner_text()
    assert "In the register" not in page.locator("#facts").inner_text()  # that is baseline 2's level, not 1's

    page.get_by_role("button", name="This is the baseline level").click()
    expect(page.locator("#reference option").first).to_have_text(re.compile("^Baseline 2, "))
    page.locator("#reference").select_option(index=1)
    assert "at baseline 1" in page.locator(".difference").inner_text()

    page.get_by_role("button", name="Microphone off").click()
    turn_on(page, "Headset")
    read(page, "1. Background", -70)
    read(page, "2. Level", -40)
    assert "another microphone (Built-in)" in page.locator(".difference").inner_text()
    assert "give or take" not in page.locator("#facts").inner_text()


def test_a_reading_that_would_mean_nothing_is_refused(visit: Visit) -> None:
    page = visit(flags=())
    turn_on(page)
    page.get_by_role("button", name="2. Level").click()
    assert "Without the background" in refused(page)
    read(page, "1. Background", -300, peak=0)
    assert "perfect silence" in refused(page)
    read(page, "1. Background", -50)
    read(page, "2. Level", -46)
    assert "only 4.0 dB above the background; 6 dB are needed" in refused(page)
    read(page, "2. Level", -51)
    assert "no louder than the background" in refused(page)
    read(page, "2. Level", -20, blocks=30, peak=0.995)
    assert "overdriven" in refused(page)
    expect(page.locator("#result")).to_be_hidden()
    read(page, "2. Level", -20, blocks=50)
    page.evaluate("lose()")
    assert "The sound stopped while it was read" in refused(page)
    expect(page.get_by_role("button", name="Turn the microphone on")).to_be_visible()


STUBS = {
    "the automatic gain stays on": (
        "MediaStreamTrack.prototype.getSettings = () => "
        "({ autoGainControl: true, echoCancellation: false, noiseSuppression: false })",
        "doesn't say that it switched off automatic gain,",
    ),
    "the browser says nothing": (
        "MediaStreamTrack.prototype.getSettings = () => ({ autoGainControl: false })",
        "doesn't say that it switched off echo cancellation, noise suppression,",
    ),
    "there is no switch": (
        "MediaDevices.prototype.getSupportedConstraints = () => ({ autoGainControl: true, echoCancellation: true })",
        "has no switch for noise suppression,",
    ),
    "a headset by radio": (
        "MediaStreamTrack.prototype.getSettings = () => ({ sampleRate: 16000, "
        "autoGainControl: false, echoCancellation: false, noiseSuppression: false })",
        "comes at 16000 samples a second",
    ),
    "a rate without filters": (
        "delete given.filters[44100]; delete given.filters[48000]",
        "there is no filter for that",
    ),
    "something else has it": (
        "MediaDevices.prototype.getUserMedia = async () => { throw new DOMException('', 'NotReadableError'); }",
        "can't be read",
    ),
    "no microphones in this browser": ("delete MediaDevices.prototype.getUserMedia", "This browser can't measure"),
    "no HTTPS": (
        "Object.defineProperty(window, 'isSecureContext', { value: false })",
        "came without HTTPS",
    ),
}


def test_a_microphone_that_cannot_be_trusted_is_refused(visit: Visit) -> None:
    page = visit()
    for what, (stub, says) in STUBS.items():
        page.evaluate(f"() => {{ {stub} }}")
        page.get_by_role("button", name="Turn the microphone on").click()
        assert says in refused(page), what
        expect(page.locator("#measuring")).to_be_hidden()
        page.reload()


@pytest.mark.parametrize(
    ("flags", "says"),
    [(FAKE_MICROPHONE[:1], "told not to give this page the microphone"), ((), "There is no microphone.")],
)
def test_a_browser_that_gives_no_microphone_is_told_as_it_is(visit: Visit, flags: tuple[str, ...], says: str) -> None:
    page = visit(flags=flags)
    page.get_by_role("button", name="Turn the microphone on").click()
    assert says in refused(page)
