"""The climbing hall on the page: its owner reads, its tech plans."""

import pytest
from django.urls import reverse

from registry.demo.factories import MembershipFactory, UserFactory
from registry.planning.fold_plans import accept_plan, keep_plan
from registry.planning.models import FoldPlan
from sites.models import Role, Site, User
from tests.planning.asking import kept_for, requested
from tests.planning.nine_zones import make_site


@pytest.fixture
def hall(tech: User) -> Site:
    return make_site(tech)


@pytest.fixture
def hall_owner(hall: Site) -> User:
    return MembershipFactory(user=UserFactory(username="climber", role=Role.OWNER), client=hall.client).user


@pytest.fixture
def fold_page(hall: Site) -> str:
    return reverse("fold-plan-new", args=[hall.code])


@pytest.fixture
def plan(hall: Site, tech: User) -> FoldPlan:
    kept = kept_for(hall, requested(hall, tolerance_db=2.1))
    return keep_plan(by=tech, site=hall, title="Five for nine", kept=kept, inputs="asked=1")


@pytest.fixture
def accepted(plan: FoldPlan, tech: User) -> FoldPlan:
    accept_plan(by=tech, plan=plan, agreed="The owner, by phone")
    return plan
