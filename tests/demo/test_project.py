"""The garden centre's project: one plan rejected with its reason, one accepted, and a commissioning to go on with."""

from datetime import date

import pytest

from registry.demo.factories import UserFactory
from registry.demo.garden_centre import load_garden_centre
from registry.demo.project import run_project
from registry.planning.fold_plans import standing_now
from registry.planning.models import Commissioning, FoldPlan, LineMeasurement
from sites.models import Site

pytestmark = pytest.mark.django_db


@pytest.fixture
def site(db: None) -> Site:
    tech = UserFactory(username="project-tech")
    site = load_garden_centre(by=tech, today=date(2026, 3, 12))
    run_project(site, by=tech)
    return site


def test_one_plan_is_rejected_with_a_reason_and_one_accepted(site: Site) -> None:
    rejected, accepted = FoldPlan.objects.filter(site=site).order_by("number")
    assert (standing_now(rejected).word, standing_now(accepted).word) == ("rejected", "accepted")
    (box,) = accepted.content["plan"]["amplifiers"]
    # Six of 8 Ω in three series pairs: 16/3 Ω on a channel that allows 4 Ω.
    assert box["channels"][0]["load_ohm"] == pytest.approx(16 / 3)


def test_the_commissioning_is_open_and_its_first_line_measured(site: Site) -> None:
    assert Commissioning.objects.get(site=site).is_open
    measured = LineMeasurement.objects.get(line__site=site)
    # Two of 8 Ω in parallel with their cable: 4.13 Ω computed, so 4.3 Ω is inside ±20 % (common practice).
    assert (measured.line.name, measured.verdict) == ("L1 Tills", "pass")
