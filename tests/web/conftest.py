"""The cast: a tech who maintains North Hall, its owner who only reads it, a stranger who owns another client's site."""

from collections.abc import Callable

import pytest
from django.test import Client as Browser

from registry.demo.factories import ClientFactory, MembershipFactory, SiteFactory, UserFactory
from sites.models import Role, Site, User

SignIn = Callable[[User], Browser]


@pytest.fixture
def tech(db: None) -> User:
    return UserFactory(username="tech", role=Role.TECH)


@pytest.fixture
def site(db: None) -> Site:
    return SiteFactory(client=ClientFactory(name="North Ltd"), code="north-hall", name="North Hall")


@pytest.fixture
def owner(site: Site) -> User:
    return MembershipFactory(user=UserFactory(username="owner", role=Role.OWNER), client=site.client).user


@pytest.fixture
def stranger(db: None) -> User:
    """Owns the South Barn and must see nothing of North Hall."""
    other = SiteFactory(client=ClientFactory(name="South Ltd"), code="south-barn", name="South Barn")
    return MembershipFactory(user=UserFactory(username="stranger", role=Role.OWNER), client=other.client).user


@pytest.fixture
def sign_in() -> SignIn:
    def signed_in(user: User) -> Browser:
        browser = Browser()
        browser.force_login(user)
        return browser

    return signed_in


@pytest.fixture
def browser(tech: User, sign_in: SignIn) -> Browser:
    """The tech's browser."""
    return sign_in(tech)
