"""What changes on pages where there is very much: typed choices, counts that end, standings that are kept."""

from datetime import date, time

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from registry.demo.factories import (
    AmplifierModelFactory,
    ClientFactory,
    ItemFactory,
    SiteFactory,
    UserFactory,
    ZoneFactory,
)
from registry.visits import standing_now
from registry.visits.plan_editing import end_plan
from registry.visits.standing_now import dates_of, standings_seen_by
from registry.web import fields, lists
from sites import bounded_counts
from sites.models import Client, IntegrationToken, Role, Site, User
from tests.web.conftest import SignIn
from tests.web.forms import fields_of
from tests.web.pages import answer_of, csv_of, text_of
from tests.web.visit_plans.conftest import FIRST, plan_at, visit_at


@pytest.fixture
def many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fields, "MOST_IN_A_LIST", 1)
    monkeypatch.setattr(bounded_counts, "COUNTED", 3)
    monkeypatch.setattr(lists, "PAGE_SIZE", 2)
    monkeypatch.setattr(standing_now, "MANY_PLANS", 0)
    standing_now._all.cache_clear()
    standing_now._dates_of_all.cache_clear()
    cache.clear()


@pytest.fixture
def halls(site: Site, many: None) -> list[Site]:
    """North Hall with two zones, and two more of the same client's name with one each."""
    halls = [site, SiteFactory(code="east", name="East Hall"), SiteFactory(code="east-2", name="East Barn")]
    for hall in (site, *halls):
        ZoneFactory(site=hall)
    return halls


@pytest.mark.parametrize("typed", ["north", "NORTH-HALL", "North Hall", "th-ha"])
def test_a_site_is_typed_where_there_are_many(browser: Browser, halls: list[Site], typed: str) -> None:
    page = browser.get(reverse("zones"), {"site": typed})
    assert '<input type="text" name="site"' in page.content.decode()
    assert answer_of(page).startswith("2 zones fit the filter")


def test_a_link_by_number_still_works_and_shows_the_code(browser: Browser, halls: list[Site]) -> None:
    page = browser.get(reverse("zones"), {"site": halls[1].pk})
    assert 'value="east"' in page.content.decode()
    assert answer_of(page).startswith("1 zone fit")


def test_the_whole_code_wins_over_parts(browser: Browser, halls: list[Site]) -> None:
    assert answer_of(browser.get(reverse("zones"), {"site": "east"})).startswith("1 zone fit")


@pytest.mark.parametrize(("typed", "says"), [("Ea", "More than one fits “Ea”"), ("west", "None fits “west”")])
def test_what_fits_no_site_or_several_is_told(browser: Browser, halls: list[Site], typed: str, says: str) -> None:
    page = browser.get(reverse("zones"), {"site": typed})
    assert says in text_of(page)
    assert f'value="{typed}"' in page.content.decode()


def test_an_owner_cannot_type_the_way_to_a_foreign_site(
    halls: list[Site], owner: User, sign_in: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fields, "MOST_IN_A_LIST", 0)
    browser = sign_in(owner)  # type: ignore[operator]
    for typed in ("east", halls[1].pk):
        assert "None fits" in text_of(browser.get(reverse("zones"), {"site": typed}))


@pytest.fixture
def boss(db: None, sign_in: SignIn) -> Browser:
    return sign_in(UserFactory(username="boss", role=Role.MANAGER))


@pytest.fixture
def clients(db: None, many: None, monkeypatch: pytest.MonkeyPatch) -> list[Client]:
    monkeypatch.setattr(fields, "MOST_IN_A_LIST", 2)
    return [ClientFactory(name=name) for name in ("South Ltd", "South Coast Ltd", "Inland Ltd", "INLAND ltd")]


def test_several_clients_are_typed_where_there_are_many(boss: Browser, clients: list[Client]) -> None:
    page = boss.get(reverse("token-new")).content.decode()
    assert '<textarea name="clients"' in page
    assert 'type="checkbox" name="clients"' not in page
    issued = boss.post(reverse("token-new"), {"name": "Export", "clients": "south coast LTD\r\n\r\n South Ltd \r\n"})
    assert issued.status_code == 200
    assert {each.client for each in IntegrationToken.objects.get().user.memberships.all()} == set(clients[:2])


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("south", "“south” may be South Coast Ltd, South Ltd: type the whole name."),
        ("inland LTD", "“inland LTD” may be INLAND ltd, Inland Ltd: type the whole name."),
        ("ltd", "“ltd” may be INLAND ltd or another: type the whole name."),
        ("South Ltd\nwest", "“west” isn't the name of any."),
        ("a\nb\nc", "These are 3 names; 2 is the most."),
    ],
)
def test_who_is_let_in_is_not_guessed(
    boss: Browser, clients: list[Client], typed: str, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fields, "MOST_NAMED", 1 if typed == "ltd" else 5)
    refused = boss.post(reverse("token-new"), {"name": "Export", "clients": typed})
    assert refused.status_code == 422
    assert says in text_of(refused)
    assert fields_of(refused)["clients"] == typed
    assert not IntegrationToken.objects.exists()


def test_a_part_of_a_name_is_completed_and_asked_about(boss: Browser, clients: list[Client], owner: User) -> None:
    address = reverse("person-edit", args=[owner.pk])
    form = fields_of(boss.get(address))
    assert form["clients"] == owner.memberships.get().client.name
    refused = boss.post(address, form | {"clients": "South Ltd\ncoast"})
    assert "Choose at least one client" not in text_of(refused)
    assert "“coast” was completed to “South Coast Ltd”: save again if that is meant." in text_of(refused)
    assert boss.post(address, fields_of(refused)).status_code == 302
    assert {each.client for each in owner.memberships.all()} == set(clients[:2])


def test_the_items_of_a_model_are_counted_as_far_but_for_an_order_and_a_file(
    browser: Browser, site: Site, many: None
) -> None:
    model = AmplifierModelFactory(name="Amp 4")
    ItemFactory.create_batch(5, site=site, make_model=model)
    assert "3 or more" in text_of(browser.get(reverse("models")))
    assert "4 or more items of it are recorded" in answer_of(browser.get(reverse("model", args=[model.pk])))
    for asked in ({"sort": "-items"}, {"sort": "items"}):
        page = text_of(browser.get(reverse("models"), asked))
        assert page.endswith("250 W 5")
        assert "or more" not in page
    assert csv_of(browser.get(reverse("models"), {"export": "csv"}))[1].endswith(",5")


def test_counts_end_and_pages_do_not(browser: Browser, site: Site, many: None) -> None:
    for _ in range(9):
        ItemFactory(site=site)
    first = text_of(browser.get(reverse("equipment")))
    assert "1 to 2 of 4 or more" in first
    assert "Page 1 of 2 or more" in first
    assert "Page 4 of 5" in text_of(browser.get(reverse("equipment"), {"page": 4}))
    last = text_of(browser.get(reverse("equipment"), {"page": 99}))
    assert "9 to 9 of 9" in last
    assert "or more" not in last


def test_items_are_found_inside_their_codes(browser: Browser, site: Site, many: None) -> None:
    ItemFactory(site=site, tag="NH-0417", serial="")
    ItemFactory(site=site, tag="NH-0500", serial="zz041799")
    ItemFactory(site=site, tag="NH-0600", serial="")
    for typed, number in (("0417", 2), ("nh-0417", 1), ("nh0417", 1), ("41", 2), ("NH", 3)):
        page = browser.get(reverse("equipment"), {"q": typed})
        assert page.context["listing"].page.paginator.count == number, typed


def test_what_is_kept_of_the_plans_follows_every_write(site: Site, tech: User, many: None) -> None:
    def waiting() -> list[tuple[date | None, bool]]:
        found = [each for _, each in standings_seen_by(tech, timezone.localdate())]
        return [(each.day, each.is_unscheduled) for each in found]

    assert waiting() == []
    plan = plan_at(site, tech)
    assert waiting() == [(FIRST, True)]
    visit_at(site, tech, plan)
    assert waiting() == [(FIRST, False)]
    plan_at(SiteFactory(client=ClientFactory()), tech, "Second")
    assert sorted(waiting()) == [(FIRST, False), (FIRST, True)]
    end_plan(by=tech, plan=plan)
    assert waiting() == [(FIRST, True)]


def test_what_is_kept_is_what_is_worked_out(
    site: Site, tech: User, many: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    today, stretch = timezone.localdate(), (date(2099, 1, 1), date(2099, 3, 1))
    plan = plan_at(site, tech)
    visit_at(site, tech, plan)
    kept = standings_seen_by(tech, today)
    dates = dates_of(kept, today, *stretch)
    assert standings_seen_by(tech, today) is kept
    monkeypatch.setattr(standing_now, "MANY_PLANS", 200)
    anew = standings_seen_by(tech, today)
    assert [each for _, each in anew] == [each for _, each in kept]
    assert dates_of(anew, today, *stretch) == dates
    assert [each.day for each in dates[plan.pk, site.pk]] == [date(2099, 2, 15)]
    assert dates[plan.pk, site.pk][0].starts_at.time() == time(9)
