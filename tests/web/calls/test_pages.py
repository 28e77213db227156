"""A call from the phone to its end, as a tech goes through it."""

from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.baselines.models import Reading
from registry.demo.factories import ItemFactory, SiteFactory
from registry.demo.factories.visits import FindingFactory, VisitFactory
from registry.equipment.models import Status
from registry.planning.models import LineMeasurement
from registry.visits.calling import close_call, take_call
from registry.visits.models import ServiceCall, Visit
from registry.visits.sayings import Said, said_in
from sites.models import Site, User
from tests.visits.calls import ENDED
from tests.web.forms import fields_of
from tests.web.pages import answer_of, csv_of, queries_of, text_of

PART = {"HX-Request": "true"}


def call_page(call: ServiceCall) -> str:
    return reverse("call", args=[call.pk])


def at(name: str, call: ServiceCall) -> str:
    return reverse(f"call-{name}", args=[call.pk])


def test_a_call_is_taken_zone_by_zone(browser: Browser, agreed: Site) -> None:
    chosen = browser.post(reverse("call-new"), {"site": agreed.code})
    address = reverse("site-call-new", args=[agreed.code])
    assert chosen["Location"] == address
    bar, hall = agreed.zones.get(name="Bar"), agreed.zones.get(name="Hall")
    typed = fields_of(browser.get(address)) | {"says": "Bar is dead", "changes": ["power cut"], "changed": "a party"}
    typed |= {f"zone-{bar.pk}": "silent", f"zone-{hall.pk}": "as usual", "loudspeaker": "LS-1A"}
    wrong = browser.post(address, typed)
    assert wrong.status_code == 422 and "Say how it is at this loudspeaker." in text_of(wrong)
    assert "Bar is dead" in wrong.content.decode() and not ServiceCall.objects.exists()
    browser.post(address, typed | {"at_loudspeaker": "silent"})
    call = ServiceCall.objects.get()
    assert call.changed == "power cut; a party" and list(call.zones.all()) == [bar]
    assert set(said_in(call.symptoms)) == {
        Said("silent", zone="Bar"),
        Said("as usual", zone="Hall"),
        Said("silent", loudspeaker="LS-1A"),
    }
    assert call.answered_at is not None


def test_what_the_words_may_mean_waits_for_a_yes(browser: Browser, call: ServiceCall) -> None:
    page = browser.get(call_page(call))
    assert "Bar: silent?" in text_of(page) and "“No music”" in text_of(page)
    assert said_in(call.symptoms) == (Said("as usual", zone="Hall"),)
    before = page.context["suspicion"].ranked[0].says
    answer = browser.post(at("said", call), {"where": "zone:Bar", "kind": "silent"}, headers=PART)
    words = text_of(answer)
    assert answer.status_code == 200 and "<html" not in answer.content.decode()
    assert "Their words may mean" not in words and "Bar: silent" in words
    assert answer.context["suspicion"].ranked[0].says != before
    assert 'id="likely" hx-swap-oob="true"' in answer.content.decode()


def test_answers_work_without_script_and_can_be_taken_back(browser: Browser, call: ServiceCall) -> None:
    typed = {"where": "zone:Bar", "kind": "silent"}
    done = browser.post(at("said", call), typed)
    assert done["Location"] == f"{call_page(call)}#suspects"
    assert "Most likely:" in answer_of(browser.get(call_page(call)))
    browser.post(at("unsaid", call), typed)
    call.refresh_from_db()
    assert said_in(call.symptoms) == (Said("as usual", zone="Hall"),)
    for wrong in ({"where": "zone:Bar", "kind": "on fire"}, {"where": "zone:Nowhere", "kind": "silent"}):
        assert "Nothing was noted" in text_of(browser.post(at("said", call), wrong, follow=True))


def test_before_driving_it_says_what_one_has_to_know(
    browser: Browser, call: ServiceCall, agreed: Site, tech: User
) -> None:
    FindingFactory(site=agreed, says="The rack door is loose", found_by=tech)
    ItemFactory(site=agreed, tag="NH-77", status=Status.SPARE)
    agreed.lines.filter(name="L2").update(life_safety="unknown")
    again = take_call(by=tech, site=agreed, values={"says": "The bar again"}, zones=[agreed.zones.get(name="Bar")])
    page = browser.get(call_page(again))
    words = text_of(page)
    for told in ("Side door; the landlord holds the keys.", "The rack door is loose", "NH-77", "100 days old"):
        assert told in words, told
    assert "it came back: 1 call within 30 days before" in answer_of(page)
    assert words.index("Nothing of it is altered") < words.index("Side door")


def test_a_level_and_an_impedance_rank_anew(browser: Browser, call: ServiceCall, agreed: Site) -> None:
    bar, line = agreed.zones.get(name="Bar"), agreed.lines.get(name="L1")
    wrong = browser.post(at("level", call), {"zone": bar.pk, "level_db": "loud"}, headers=PART)
    assert wrong.status_code == 422 and 'value="loud"' in wrong.content.decode()
    typed = {"zone": bar.pk, "level_db": "59", "background_db": "40", "meter": "Meter A", "meter_class": "2"}
    answer = browser.post(at("level", call), typed, headers=PART)
    assert answer.status_code == 200 and Reading.objects.get(state="as found", level_db=59.0).zone == bar
    ohm = {"line": line.pk, "impedance_ohm": "8.3", "frequency_hz": "1000"}
    plain = browser.post(at("impedance", call), ohm, follow=True)
    assert LineMeasurement.objects.get().line == line
    assert "coil open or cable open" in answer_of(plain)
    assert "L1 8.3 Ω" in text_of(plain) and "Bar 59.0 dB(A)" in text_of(plain)
    refused = browser.post(at("impedance", call), ohm | {"is_open": "on"})
    assert refused.status_code == 422 and "An open line has no value" in text_of(refused)


def test_without_a_baseline_it_gives_the_order_of_splitting(browser: Browser, tech: User) -> None:
    call = take_call(by=tech, site=SiteFactory(), values={"says": "Nothing works"})
    words = text_of(browser.get(call_page(call)))
    assert "No baseline was frozen before this call" in words
    steps = [words.index(f"{step}. ") for step in ("Source", "Endpoint", "Amplifier", "Line", "Loudspeaker")]
    assert steps == sorted(steps)
    assert "No fault can be ranked yet." in words


def test_a_visit_is_begun_from_the_call_and_the_call_shows_the_proof(browser: Browser, call: ServiceCall) -> None:
    done = browser.post(at("visit", call), {"begin": "1"})
    visit = Visit.objects.get()
    assert done["Location"] == reverse("visit", args=[visit.pk]) and visit.begun_at is not None
    task = visit.tasks.get(kind="levels")
    level = reverse("visit-level", args=[visit.pk, task.pk])
    same = {"background_db": "40", "meter": "Meter A", "meter_class": "2", "track": "Reference track 1"}
    browser.post(level, same | {"state": "as found", "level_db": "50"})
    browser.post(level, same | {"state": "as left", "level_db": "62"})
    words = text_of(browser.get(call_page(call)))
    assert "As found" in words and "As left" in words and "No change is proved" in words
    closing = browser.get(at("close", call))
    assert reverse("visit", args=[visit.pk]) in closing.content.decode()
    assert "Close the call" not in text_of(closing).partition("Close this call")[2]
    assert at("close", call) not in browser.get(call_page(call)).content.decode()
    refused = browser.post(at("close", call), ENDED | {"plays_again": "no"})
    assert refused.status_code == 422 and "is still open: close it first" in text_of(refused)
    assert ENDED["was"] in text_of(refused)


def test_a_visit_is_scheduled_for_somebody(browser: Browser, call: ServiceCall, tech: User) -> None:
    typed = fields_of(browser.get(at("visit", call)))
    assert browser.post(at("visit", call), typed)["Location"] == call_page(call)
    visit = Visit.objects.get()
    assert visit.begun_at is None and visit.tech == tech and visit.title.startswith("Call: No music")


def test_closing_says_what_it_was_and_then_everything_stays(browser: Browser, call: ServiceCall) -> None:
    typed = fields_of(browser.get(at("close", call)))
    wrong = browser.post(at("close", call), typed | {"was": "A dial"})
    assert wrong.status_code == 422 and "A dial" in wrong.content.decode()
    call.refresh_from_db()
    assert call.is_open
    unsaid = browser.post(at("close", call), typed | ENDED)
    assert unsaid.status_code == 422 and unsaid.context["form"].errors.keys() == {"plays_again"}
    since = browser.post(at("close", call), typed | ENDED | {"plays_again": "yes", "restored_at": ""})
    assert since.context["form"].errors.keys() == {"restored_at"}
    browser.post(at("close", call), typed | ENDED | {"plays_again": "no"})
    call.refresh_from_db()
    assert call.restored_at is None
    page = browser.get(call_page(call))
    assert answer_of(page) == "Closed by phone: The dial stood at 20 %."
    assert "As they stood when the call was closed." in text_of(page)
    for name in ("edit", "close"):
        assert browser.get(at(name, call))["Location"] == call_page(call)
    browser.post(at("note", call), {"says": "They rang again."})
    assert "They rang again." in text_of(browser.get(call_page(call)))


def test_two_techs_who_close_at_once(browser: Browser, call: ServiceCall, tech: User) -> None:
    typed = fields_of(browser.get(at("close", call)))
    close_call(by=tech, call=call, values=ENDED)
    second = browser.post(at("close", call), typed | ENDED | {"plays_again": "no", "was": "Another thing"}, follow=True)
    assert "This call is closed already." in text_of(second)
    call.refresh_from_db()
    assert call.was == ENDED["was"]


def test_what_their_words_say_changed_is_offered_and_noted_once(browser: Browser, agreed: Site, tech: User) -> None:
    told = {"says": "No music in the bar since the power cut", "changed": "a wedding"}
    call = take_call(by=tech, site=agreed, values=told)
    assert "Their words may mean: power cut" in text_of(browser.get(call_page(call)))
    for change in ("power cut", "power cut", "a flood"):
        page = browser.post(at("changed", call), {"change": change}, follow=True)
    assert "is not on the list" in text_of(page) and "Their words may mean: power cut" not in text_of(page)
    call.refresh_from_db()
    assert call.changed == "power cut; a wedding"


def test_a_long_call_is_shortened_with_a_mark(browser: Browser, agreed: Site, tech: User) -> None:
    take_call(by=tech, site=agreed, values={"says": "The bar is silent " * 20})
    for page in (reverse("today"), reverse("calls"), f"{reverse('search')}?q=silent"):
        assert "…" in text_of(browser.get(page)).partition("The bar is silent")[2], page


def test_calling_back_is_noted_once(browser: Browser, agreed: Site, tech: User) -> None:
    call = take_call(by=tech, site=agreed, values={"says": "On the answering machine: no music"})
    assert "nobody has called back yet" in text_of(browser.get(reverse("today")))
    browser.post(at("answered", call))
    call.refresh_from_db()
    assert call.answered_at is not None
    assert "nobody has called back yet" not in text_of(browser.get(reverse("today")))
    assert "1 open call" in answer_of(browser.get(reverse("today")))


def test_the_list_filters_exports_and_counts(browser: Browser, closed: ServiceCall, tech: User) -> None:
    take_call(by=tech, site=closed.site, values={"says": "The hall hums"})
    page = browser.get(reverse("calls"))
    assert answer_of(page) == "1 call is open."
    assert "Solved without a trip 1" in text_of(page)
    assert "The hall hums" not in text_of(browser.get(f"{reverse('calls')}?state=phone"))
    heading, *rows = csv_of(browser.get(f"{reverse('calls')}?cause=management&export=csv"))
    assert "The record would have saved the trip" in heading and len(rows) == 1 and ",Yes," in rows[0]


def test_queries_do_not_grow(browser: Browser, call: ServiceCall, agreed: Site, tech: User) -> None:
    pages = (call_page(call), reverse("calls"), reverse("today"), f"{reverse('calls')}?export=csv")
    bar = agreed.zones.get(name="Bar")

    def more() -> None:
        ItemFactory(site=agreed, status=Status.SPARE)
        FindingFactory(site=agreed, found_by=tech)
        VisitFactory(site=agreed)
        taken = take_call(by=tech, site=agreed, values={"says": "Again"}, zones=[bar], called_at=call.called_at)
        browser.post(at("note", call), {"says": "A note"})
        close_call(by=tech, call=taken, values=ENDED, at=timezone.now())
        take_call(by=tech, site=agreed, values={"says": "Again"}, zones=[bar], called_at=call.called_at)

    more()
    first = [queries_of(browser, page) for page in pages]
    more()
    more()
    assert [queries_of(browser, page) for page in pages] == first
