"""The comparator's pages hand over the filters, the limits and what the baseline holds, and the very files to play."""

import hashlib
import json
import re
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Zone
from registry.demo.factories import BaselineFactory, ReadingFactory, ZoneFactory
from registry.engineering.weighting import response_db, weighting_filter
from sites.models import Site, User
from tests.web.conftest import SignIn
from tests.web.pages import answer_of, queries_of, text_of

# Frozen: sites keep these files on sticks and players. Another signal needs another number, not another hash.
PROGRAMME = "3ad5b40fdf306a7727d660260cbf10a1eebe0964dd2b90a8404307784e1f802f"
PINK = "595ea0afd92a765c936f949482fbf5f80a8f58bf0e5ba3be87582fed286d17e8"


@pytest.fixture
def zone(site: Site) -> Zone:
    return ZoneFactory(site=site, name="Bar", spot="P1 by the till", tolerance_db=1.5)


def data_of(response: Any) -> dict[str, Any]:
    found = re.search(r'<script id="comparator-data" type="application/json">(.*?)</script>', response.content.decode())
    assert found is not None
    return dict(json.loads(found[1]))


def test_the_filters_arrive_as_python_has_them(browser: Browser) -> None:
    filters = data_of(browser.get(reverse("comparator")))["filters"]
    assert {"44100", "48000"} <= filters.keys()
    for rate, curves in filters.items():
        for curve in ("A", "C"):
            assert curves[curve] == weighting_filter(curve, float(rate)).tolist()
    # IEC 61672-1:2013, Table 3: A is −19.1 dB at 100 Hz.
    assert response_db(weighting_filter("A", 44100.0), 100.0, 44100.0) == pytest.approx(-19.1, abs=0.05)


def test_the_same_two_files_are_handed_out_for_years(browser: Browser) -> None:
    signals = browser.get(reverse("comparator")).context["signals"]
    assert [signal.sha256 for signal in signals] == [PROGRAMME, PINK]
    for signal in signals:
        response = browser.get(signal.file)
        assert response["Content-Type"] == "audio/wav"
        assert hashlib.sha256(response.content).hexdigest() == signal.sha256
        assert signal.sha256 in text_of(browser.get(signal.page))


def test_length_level_seed_and_caution_stand_beside_the_files(browser: Browser) -> None:
    words = text_of(browser.get(reverse("comparator")))
    assert "30 s of IEC 60268-1 programme noise at −20.00 dBFS" in words
    assert "number of the noise 1" in words
    assert "start at the lowest level" in words


def test_without_a_zone_there_is_no_baseline_and_the_usual_tolerance(browser: Browser) -> None:
    response = browser.get(reverse("comparator"))
    data = data_of(response)
    wanted = {"place": "workbench", "baseline": 0, "baseline_level_db": None, "tolerance_db": 2.0}
    assert {name: data[name] for name in wanted} == wanted
    assert answer_of(response).endswith("A comparator, not a sound level meter.")
    assert "Keep as the reference" in text_of(response)


def test_a_zone_brings_its_tolerance_its_baseline_and_its_track(browser: Browser, zone: Zone) -> None:
    ReadingFactory(zone=zone, level_db=63.0, track="Track 1")
    BaselineFactory(site=zone.site)
    BaselineFactory(site=zone.site)
    response = browser.get(reverse("zone-comparator", args=[zone.pk]))
    data = data_of(response)
    wanted = {"place": f"north-hall/{zone.pk}", "baseline": 2, "baseline_level_db": 63.0, "tolerance_db": 1.5}
    assert {name: data[name] for name in wanted} == wanted
    assert data["tolerance_agreed"]
    assert answer_of(response).startswith("Is Bar as loud as this phone read it at baseline 2 (")
    assert "Track: Track 1, as at baseline 2." in text_of(response)
    assert "This is the baseline level" in text_of(response)


def test_a_zone_without_a_baseline_says_so(browser: Browser, zone: Zone) -> None:
    response = browser.get(reverse("zone-comparator", args=[zone.pk]))
    assert answer_of(response).startswith("North Hall has no baseline yet")
    assert data_of(response)["baseline"] == 0


def test_the_pages_are_linked_from_the_zone_and_the_workbench(browser: Browser, zone: Zone) -> None:
    address = reverse("zone-comparator", args=[zone.pk])
    assert f'href="{address}"' in browser.get(reverse("zone", args=[zone.pk])).content.decode()
    assert f'href="{reverse("comparator")}"' in browser.get(reverse("workbench")).content.decode()


def test_the_headers_let_the_page_listen_and_load_its_worklet(browser: Browser) -> None:
    headers = browser.get(reverse("comparator")).headers
    assert "microphone=()" not in headers.get("Permissions-Policy", "")
    policy = headers["Content-Security-Policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";") if " " in rule.strip())
    assert "'self'" in rules.get("worker-src", rules.get("script-src", rules["default-src"]))
    assert "unsafe" not in policy


def test_an_owner_compares_but_is_offered_nothing_to_write(owner: User, zone: Zone, sign_in: SignIn) -> None:
    words = text_of(sign_in(owner).get(reverse("zone-comparator", args=[zone.pk])))
    assert "Turn the microphone on" in words
    assert "read a level" not in words


def test_nothing_can_be_sent_to_the_comparator(browser: Browser, zone: Zone) -> None:
    assert browser.post(reverse("zone-comparator", args=[zone.pk])).status_code == 405
    assert browser.post(reverse("comparator")).status_code == 405


def test_the_page_costs_the_same_however_much_there_is(browser: Browser, zone: Zone) -> None:
    address = reverse("zone-comparator", args=[zone.pk])

    def cost(readings: int) -> int:
        for _ in range(readings):
            ReadingFactory(zone=zone)
            BaselineFactory(site=zone.site)
        return queries_of(browser, address)

    assert cost(1) == cost(2)
