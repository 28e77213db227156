"""Inviting people, changing them, shutting them out; choosing a password by a link."""

import re

from django.core import mail
from django.test import Client as Browser
from django.urls import reverse
from pytest_django import Settings

from registry.demo.factories import ClientFactory, SiteFactory, UserFactory
from sites.models import AccountEvent, Role, User
from tests.web.accounts.conftest import PASSWORD, knock
from tests.web.conftest import SignIn as Enter
from tests.web.forms import fields_of
from tests.web.pages import queries_of, text_of

NEW = "stapled garden umbrella"


def link_in(text: str) -> str:
    found = re.search(r"https?://testserver(/password/link/\S+)", text)
    assert found, text
    return found[1]


def choose(link: str, password: str = NEW) -> int:
    browser = Browser()
    form = browser.get(link, follow=True)
    address = form.redirect_chain[-1][0] if form.redirect_chain else link
    return browser.post(address, {"new_password1": password, "new_password2": password}).status_code


def test_an_invited_owner_chooses_a_password_and_sees_their_site_only(
    manager: User, sign_in: Enter, settings: Settings
) -> None:
    settings.SENDS_EMAIL = True
    site, other = SiteFactory(name="North Hall"), SiteFactory(name="South Barn")
    form = {"username": "olga", "email": "olga@example.com", "role": "owner", "clients": [site.client_id]}
    sign_in(manager).post(reverse("person-new"), form)
    assert mail.outbox[0].to == ["olga@example.com"]
    link = link_in(mail.outbox[0].body)
    assert choose(link, "short") == 200
    assert choose(link) == 302
    assert "was used already" in text_of(Browser().get(link, follow=True))
    browser = Browser()
    assert knock(NEW, username="olga", browser=browser).status_code == 302
    page = text_of(browser.get(reverse("sites")))
    assert "North Hall" in page
    assert other.name not in page


def test_without_email_the_manager_gets_the_link_to_hand_over(manager: User, tess: User, sign_in: Enter) -> None:
    page = sign_in(manager).post(reverse("person-link", args=[tess.pk]), follow=True)
    assert not mail.outbox
    assert choose(link_in(text_of(page))) == 302
    assert AccountEvent.objects.get(what="password changed").detail == "by a password link"


def test_a_lost_password_says_the_same_for_every_address(tess: User, settings: Settings) -> None:
    browser, theirs = Browser(), Browser()
    knock(browser=theirs)
    said = []
    for email in ("tess@example.com", "nobody@example.com", "tess@example.com"):
        answer = browser.post(reverse("password-ask"), {"email": email}, follow=True)
        said.append(text_of(answer))
    assert said[0] == said[1] == said[2]
    assert len(mail.outbox) == 1  # the second letter within minutes stays unsent
    assert choose(link_in(mail.outbox[0].body)) == 302
    assert theirs.get(reverse("today")).status_code == 302
    assert knock(NEW).status_code == 302


def test_of_two_managers_the_second_is_told_and_may_then_decide(manager: User, tess: User, sign_in: Enter) -> None:
    address, boss = reverse("person-edit", args=[tess.pk]), UserFactory(username="bea", role=Role.MANAGER)
    first, second = sign_in(manager), sign_in(boss)
    hers, his = fields_of(first.get(address)), fields_of(second.get(address))
    assert first.post(address, hers | {"email": "t@example.com"}).status_code == 302
    answer = second.post(address, his | {"email": "tess@example.com", "first_name": "Tess"})
    assert answer.status_code == 409
    assert "mara changed the account:" in text_of(answer)
    assert "tess, t@example.com, Tech. Nothing of yours is done yet" in text_of(answer)
    assert User.objects.get(pk=tess.pk).first_name == ""
    assert second.post(address, fields_of(answer)).status_code == 302
    assert User.objects.get(pk=tess.pk).first_name == "Tess"


def test_a_new_role_and_clients_hold_at_once_and_are_written_down(manager: User, tess: User, sign_in: Enter) -> None:
    client = ClientFactory(name="North Ltd")
    theirs = sign_in(tess)
    form = {"username": "tess", "email": "tess@example.com", "role": "owner", "clients": [client.pk]}
    assert sign_in(manager).post(reverse("person-edit", args=[tess.pk]), form).status_code == 302
    assert theirs.get(reverse("client-new")).status_code == 403
    event = AccountEvent.objects.get(what="changed")
    assert event.by == manager
    assert event.detail.endswith("→ tess, tess@example.com, Client owner of North Ltd")


def test_what_is_refused_stands_beside_the_field(manager: User, tess: User, sign_in: Enter) -> None:
    browser = sign_in(manager)
    form = {"username": "Tess", "email": "new@example.com", "role": "owner"}
    refused = browser.post(reverse("person-new"), form)
    assert refused.status_code == 422
    assert "Choose at least one client" in text_of(refused)
    refused = browser.post(reverse("person-new"), {**form, "role": "tech"})
    assert "somebody else has this username" in text_of(refused)
    assert 'value="new@example.com"' in refused.content.decode()
    own = {"username": "mara", "email": "mara@example.com", "role": "tech"}
    assert "your own role" in text_of(browser.post(reverse("person-edit", args=[manager.pk]), own))
    assert "Nobody shuts themselves out" in text_of(
        browser.post(reverse("person-shut-out", args=[manager.pk]), follow=True)
    )


def test_shut_out_is_at_once_and_can_be_taken_back(manager: User, tess: User, sign_in: Enter) -> None:
    theirs, browser = sign_in(tess), sign_in(manager)
    browser.post(reverse("person-shut-out", args=[tess.pk]))
    assert theirs.get(reverse("today")).status_code == 302
    assert knock().status_code == 200
    browser.post(reverse("person-let-in", args=[tess.pk]))
    assert knock().status_code == 302


def test_a_manager_does_not_become_a_steward_through_a_stewards_account(manager: User, sign_in: Enter) -> None:
    steward = UserFactory(is_superuser=True, password=PASSWORD)
    browser = sign_in(manager)
    assert browser.get(reverse("person", args=[steward.pk])).status_code == 200
    for name in ("person-edit", "person-link", "person-factor-reset", "person-sign-out", "person-shut-out"):
        assert browser.post(reverse(name, args=[steward.pk])).status_code == 403, name
    steward.refresh_from_db()
    assert steward.is_active


def test_the_lists_cost_the_same_for_one_and_for_many(manager: User, sign_in: Enter) -> None:
    browser = sign_in(manager)
    pages = [reverse("people"), reverse("person", args=[manager.pk]), reverse("account")]
    browser.get(reverse("today"))
    once = [queries_of(browser, page) for page in pages]
    for _ in range(3):
        sign_in(manager)
        UserFactory(role=Role.OWNER)
        browser.post(reverse("person-link", args=[manager.pk]))
    browser.get(reverse("account"))
    assert [queries_of(browser, page) for page in pages] == once
