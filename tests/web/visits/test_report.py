"""The report: the same on the page and in the PDF, what the owner may read and no more, and as it was signed."""

import io
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from registry.audio.models import Line, Zone
from registry.baselines.actions import correct_reading
from registry.demo.factories import BaselineFactory, UserFactory
from registry.reports.visit_report import visit_report
from registry.visits.closing import close_visit
from registry.visits.finding import add_finding, close_finding, edit_finding
from registry.visits.guests import make_guest_link, revoke_guest_link, visit_for_guest
from registry.visits.keeping import add_visit_photo
from registry.visits.models import Visit, VisitGuestLink
from registry.visits.reading import record_visit_measurement, record_visit_reading
from sites.models import User
from tests.visits.visit_work import CLOSING, FINDING, LEVEL, OHM, picture
from tests.web.pages import queries_of, text_of
from tests.web.visit_plans.conftest import FIRST, plan_at

IN_ORDER = (
    "The hall plays as agreed again",  # the result in one sentence
    "Safety first",
    "Cover hangs loose",
    "Why we came",
    "Yearly check",
    "Zones",
    "baseline 1",
    "60.0 ± 2 dB",
    "66.0 dB",
    "60.3 dB",
    "What we did",
    "80 %",
    "L1 (measured 4.1",
    "What we found",
    "LS-1A rattles",
    "What we could not do",
    "No ladder for the ceiling",
    "Ceiling fixings: no ladder",
    "What we recommend",
    "Equipment and parts",
    "2 × Fuse 3 A",
    "Next visit",
    "Half-yearly check",
    "75 minutes of work",
    "by Alex Tech",
    "Signed A. Tech",
    "Manager on duty",
    "The ladder comes on Monday",
)
NOWHERE = ("192.0.2.7", "amp-one", "difficult", "Only for us")


def _words_of(content: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).split())


def _in_order(text: str) -> bool:
    """Each phrase stands behind the one before."""
    at = 0
    for phrase in IN_ORDER:
        at = text.find(phrase, at)
        assert at >= 0, f"{phrase!r} is missing, or not in its place: {text}"
    return True


def test_page_and_pdf_say_the_same_in_the_same_order_and_nothing_internal(closed: Visit, browser: Browser) -> None:
    page = text_of(browser.get(reverse("visit-report", args=[closed.pk])))
    response = browser.get(reverse("visit-report-pdf", args=[closed.pk]))
    printed = _words_of(response.content)
    assert _in_order(page) and _in_order(printed)
    for text in (page, printed):
        assert [word for word in NOWHERE if word in text] == []
    pictures = [image for each in PdfReader(io.BytesIO(response.content)).pages for image in each.images]
    assert len(pictures) == 2  # of the finding and of the rack, not the internal one


def test_a_signed_report_stays_whatever_becomes_of_the_register(closed: Visit, tech: User) -> None:
    before = visit_report(closed)
    rattle = closed.findings.get(severity="degraded", internal=False)
    edit_finding(by=tech, finding=rattle, values=FINDING | {"follow_up": "planned", "zone_id": rattle.zone_id})
    close_finding(by=tech, finding=rattle, done="Fastened")
    BaselineFactory(site=closed.site, by=tech)
    Visit.objects.create(site=closed.site, title="Earlier one", starts_at=timezone.now() + timedelta(days=2))
    assert visit_report(closed) == before


def test_a_corrected_reading_is_shown_as_corrected(closed: Visit, tech: User) -> None:
    left = closed.readings.get(reading__state="as left").reading
    assert left is not None
    correct_reading(by=tech, reading=left, values={"level_db": 61.0})
    (zone,) = visit_report(closed).zones
    assert (zone.found, zone.left) == ("66.0 dB", "61.0 dB (corrected)")


def test_a_report_costs_15_queries_at_most(visit: Visit, zone: Zone, tech: User, browser: Browser) -> None:
    Visit.objects.filter(pk=visit.pk).update(plan=plan_at(visit.site, tech), occurrence=FIRST)
    reading = record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL)
    correct_reading(by=tech, reading=reading, values={"level_db": 61.0})
    add_visit_photo(by=tech, visit=visit, data=picture(), caption="The rack")
    close_visit(by=tech, visit=visit, values=CLOSING)
    assert "by its plan" in text_of(browser.get(reverse("visit-report", args=[visit.pk])))
    for name in ("visit", "visit-report", "visit-report-pdf"):
        assert queries_of(browser, reverse(name, args=[visit.pk])) <= 15, name


def test_people_are_named_by_name_or_duty_never_by_account(closed: Visit) -> None:
    Visit.objects.filter(pk=closed.pk).update(begun_by=UserFactory(username="secret-account"))
    people = visit_report(Visit.objects.select_related("site__client", "plan").get(pk=closed.pk)).people
    assert people == "a tech, Alex Tech"


def test_what_was_measured_is_told_even_when_nobody_pressed_a_button(
    visit: Visit, zone: Zone, line: Line, tech: User
) -> None:
    record_visit_reading(by=tech, visit=visit, zone=zone, state="as found", values=LEVEL)
    record_visit_measurement(by=tech, visit=visit, line=line, values=OHM | {"impedance_ohm": None, "is_open": True})
    add_finding(by=tech, site=visit.site, visit=visit, values=FINDING | {"follow_up": "next day"})
    closed = close_visit(by=tech, visit=visit, values=CLOSING)
    report = visit_report(Visit.objects.select_related("site__client", "plan").get(pk=closed.pk))
    (told,) = [each for each in report.did if each.startswith("Impedance")]
    assert told == "Impedance of each line at the terminals: L1 (open line, no continuity, not in order)."
    assert [each for each in report.could_not if each.startswith(("Level", "Impedance"))] == []
    assert report.recommended == (("On the next working day", ("LS-1A rattles",)),)


def test_a_guest_reads_this_report_and_nothing_else(closed: Visit, visit: Visit, tech: User) -> None:
    made = make_guest_link(by=tech, visit=closed, for_whom="Manager", days=7)
    guest = Browser()
    page = guest.get(reverse("guest-report", args=[made.word]))
    assert _in_order(text_of(page))
    assert (page.headers["Referrer-Policy"], page.headers["X-Robots-Tag"]) == ("no-referrer", "noindex")
    assert _in_order(_words_of(guest.get(reverse("guest-report-pdf", args=[made.word])).content))
    told, secret = (closed.photos.get(caption=caption) for caption in ("The rack", "Only for us"))
    assert guest.get(reverse("guest-photo", args=[made.word, told.pk])).status_code == 200
    assert guest.get(reverse("guest-photo", args=[made.word, secret.pk])).status_code == 404
    for name in ("visit", "visit-report", "visit-report-pdf"):
        assert guest.get(reverse(name, args=[closed.pk])).status_code == 302
    assert made.word not in str(VisitGuestLink.objects.values())
    with pytest.raises(ValueError, match="not closed yet"):
        make_guest_link(by=tech, visit=visit, for_whom="Manager", days=7)


def test_a_guest_link_ends_by_its_day_or_by_hand(
    closed: Visit, tech: User, browser: Browser, time_machine: Any
) -> None:
    kept, ended = (make_guest_link(by=tech, visit=closed, for_whom="Manager", days=7) for _ in range(2))
    assert browser.post(reverse("guest-link-revoke", args=[ended.link.pk])).status_code == 302
    revoke_guest_link(by=tech, link=ended.link)
    addresses = [reverse("guest-report", args=[word]) for word in (kept.word, ended.word, "x" * 43)]
    assert [Browser().get(address).status_code for address in addresses] == [200, 404, 404]
    time_machine.move_to(timezone.now() + timedelta(days=7, minutes=1))
    assert Browser().get(addresses[0]).status_code == 404
    assert visit_for_guest(kept.word) is None


def test_the_address_of_a_new_link_is_shown_once(closed: Visit, browser: Browser) -> None:
    address = reverse("visit-guests", args=[closed.pk])
    assert "at most" in text_of(browser.post(address, {"for_whom": "Manager", "days": "900"})).lower()
    made = browser.post(address, {"for_whom": "Manager", "days": "7"}).content.decode()
    assert made.count("/guests/") > browser.get(address).content.decode().count("/guests/")
