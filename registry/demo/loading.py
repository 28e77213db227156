"""Loads the whole demo once, all of it or nothing."""

from datetime import date

from django.db import transaction

from registry.demo import garden_centre
from registry.demo.building import build_clients
from registry.demo.calls import take_calls
from registry.demo.clients import PREMISES
from registry.demo.network import add_network
from registry.demo.owners import give_report
from registry.demo.people import USERNAMES, SignIn, make_owner, renew_people
from registry.demo.project import run_project
from registry.demo.visit_plans import plan_visits
from registry.demo.visit_work import work_at_visits
from sites.models import Client, Site, User


class OtherDataError(RuntimeError):
    """Raised when the register holds something that isn't the demo's."""


@transaction.atomic
def load_demo(*, today: date) -> tuple[list[SignIn], bool]:
    """Load the demo unless it is there; return how to sign in, and whether it was loaded now.

    Raises OtherDataError when the register holds other data: made-up clients don't belong beside real ones.
    """
    if _is_loaded():
        return renew_people(), False
    if Client.objects.exists() or User.objects.filter(username__in=USERNAMES).exists():
        raise OtherDataError("the register holds other data; set DATABASE_URL to an empty database for the demo")
    people = renew_people()
    by = User.objects.get(username="tech")
    site = garden_centre.load_garden_centre(by=by, today=today)
    run_project(site, by=by)
    give_report(site, by=by, today=today)
    work_at_visits(site, by=by)
    take_calls(site, by=by)
    add_network(site, by=by, today=today)
    build_clients(by=by, today=today)
    plan_visits(site, by=by, today=today)
    make_owner(site.client)
    return people, True


def _is_loaded() -> bool:
    codes = {garden_centre.CODE, *(premises.code for premises in PREMISES)}
    people = User.objects.filter(username__in=USERNAMES).count()
    return people == len(USERNAMES) and Site.objects.filter(code__in=codes).count() == len(codes)
