"""Signing in and out."""

from django.test import Client as Browser
from django.urls import reverse

from registry.demo.factories import UserFactory
from tests.web.pages import text_of

PASSWORD = "correct horse battery"


def test_the_right_password_leads_to_the_page_that_was_asked_for(db: None) -> None:
    UserFactory(username="tess", password=PASSWORD)
    response = Browser().post(
        reverse("sign-in"), {"username": "tess", "password": PASSWORD, "next": reverse("equipment")}
    )
    assert response.status_code == 302
    assert response.headers["Location"] == reverse("equipment")


def test_a_wrong_password_is_said_and_the_name_stays(db: None) -> None:
    UserFactory(username="tess", password=PASSWORD)
    response = Browser().post(reverse("sign-in"), {"username": "tess", "password": "wrong"})
    assert "Please enter a correct username and password" in text_of(response)
    assert 'value="tess"' in response.content.decode()


def test_a_link_to_another_address_is_not_followed(db: None) -> None:
    UserFactory(username="tess", password=PASSWORD)
    form = {"username": "tess", "password": PASSWORD, "next": "https://elsewhere.example/"}
    assert Browser().post(reverse("sign-in"), form).headers["Location"] == reverse("today")


def test_signing_out_is_a_button_and_not_a_link(browser: Browser) -> None:
    assert browser.get(reverse("sign-out")).status_code == 405
    assert browser.post(reverse("sign-out")).headers["Location"] == reverse("sign-in")
    assert browser.get(reverse("today")).status_code == 302


def test_the_door_shows_no_navigation(db: None) -> None:
    page = Browser().get(reverse("sign-in")).content.decode()
    assert 'aria-label="Main"' not in page
    assert "Search" not in page
