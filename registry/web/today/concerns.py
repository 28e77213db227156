"""What needs somebody now: each concern with its number, its first few rows and where all of them are."""

from collections.abc import Mapping
from datetime import date

from django.urls import reverse
from django.utils import timezone

from registry.audio.models import Drift, Verdict
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.queries import restores_visible_to
from registry.equipment.queries import items_visible_to
from registry.web.equipment.filters import WARRANTY_DAYS, item_page, warranty_ends_within
from registry.web.sites.sentences import number_of
from registry.web.today.concern import Asked, Concern, Row
from registry.web.today.open_calls import open_calls
from registry.web.today.planned_visits import planned_visits
from registry.web.today.site_concerns import site_concerns
from registry.web.today.visits_due import open_findings, visits_due
from sites.counts import counts_of
from sites.models import User
from sites.queries import sites_visible_to


def concerns(user: User) -> tuple[list[Concern], int]:
    """Return what needs somebody at the sites that `user` may read, and how many sites that are.

    A constant number of queries; fewer where there is nothing of a kind.
    """
    of_sites = site_concerns(user)
    before = {"loads": _loads(user), "calls": open_calls(user), "visits": planned_visits(user)}
    after = {
        "findings": open_findings(user),
        "zones": _zones(user),
        "drifting": of_sites["drifting"],
        "restores": _restores(user),
        "bare": of_sites["bare"],
        "warranties": _warranties(user),
    }
    rows = {name: each.rows for name, each in (before | after).items()}
    numbers = counts_of(sites=sites_visible_to(user), **rows)
    told = [_told(before, numbers), visits_due(user), _told(after, numbers)]
    return [concern for found in told for concern in found], numbers["sites"]


def _told(asked: Mapping[str, Asked], numbers: Mapping[str, int]) -> list[Concern]:
    return [each.told(numbers[name], numbers) for name, each in asked.items() if numbers[name]]


def _loads(user: User) -> Asked:
    return Asked(
        heading="Unsafe loads",
        short=lambda numbers: number_of(numbers["loads"], "unsafe load"),
        rows=lines_visible_to(user).filter(verdict=Verdict.FAIL).order_by("site__name", "name"),
        as_row=lambda line: Row(line.name, reverse("line", args=[line.pk]), line.site, line.says),
        all_href=f"{reverse('lines')}?verdict=fail",
        caution="load",
    )


def _zones(user: User) -> Asked:
    return Asked(
        heading="Zones out of tolerance",
        short=lambda numbers: f"{number_of(numbers['zones'], 'zone')} out of tolerance",
        rows=zones_visible_to(user).filter(drift=Drift.OUT).order_by("site__name", "name"),
        as_row=lambda zone: Row(zone.name, reverse("zone", args=[zone.pk]), zone.site, _off_by(zone.drift_db)),
        all_href=f"{reverse('zones')}?drift=out",
    )


def _off_by(drift_db: float | None) -> str:
    return "" if drift_db is None else f"{drift_db:+.1f} dB against the baseline".replace("-", "−")


def _restores(user: User) -> Asked:
    return Asked(
        heading="Open restores",
        short=lambda numbers: number_of(numbers["restores"], "open restore"),
        rows=restores_visible_to(user).filter(signed_at__isnull=True).order_by("started_at"),
        as_row=lambda restore: Row(
            f"To baseline {restore.baseline.number}",
            reverse("restore", args=[restore.pk]),
            restore.site,
            f"started by {restore.started_by}",
        ),
        all_href=f"{reverse('sites')}?restore=yes",
    )


def _warranties(user: User) -> Asked:
    today = timezone.localdate()
    return Asked(
        heading=f"Warranties that end within {WARRANTY_DAYS} days",
        short=lambda numbers: _warranties_words(numbers["warranties"]),
        rows=warranty_ends_within(items_visible_to(user), WARRANTY_DAYS),
        as_row=lambda item: Row(
            f"{item.tag}, {item.make_model}", item_page(item), item.site, _ends(item.warranty_until, today)
        ),
        all_href=f"{reverse('equipment')}?warranty={WARRANTY_DAYS}&sort=warranty-until",
    )


def _warranties_words(number: int) -> str:
    verb = "warranty ends" if number == 1 else "warranties end"
    return f"{number} {verb} within {WARRANTY_DAYS} days"


def _ends(until: date, today: date) -> str:
    days = (until - today).days
    return "ends today" if days == 0 else f"ends in {number_of(days, 'day')}"
