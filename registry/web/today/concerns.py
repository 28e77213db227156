"""What needs somebody now: each concern with its number, its first few rows and where all of them are."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.db.models import QuerySet
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from registry.audio.models import Drift, Verdict
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.baselines.queries import restores_visible_to, without_baseline
from registry.equipment.queries import items_visible_to
from registry.web.equipment.filters import WARRANTY_DAYS, item_page, warranty_ends_within
from registry.web.sites.filters import drifting_sites, listed_sites, site_page
from registry.web.sites.sentences import number_of
from registry.web.today.concern import Concern, Row, first_of
from registry.web.today.open_calls import calls_concern
from registry.web.today.planned_visits import planned_visits_concern
from registry.web.today.visits_due import findings_concern, visits_concern
from sites.models import User


def concerns(user: User) -> list[Concern]:
    """Return what needs somebody at the sites that `user` may read; a constant number of queries."""
    return [
        concern
        for concern in (
            _loads(user),
            calls_concern(user),
            planned_visits_concern(user),
            visits_concern(user),
            findings_concern(user),
            _zones(user),
            _drifting(user),
            _restores(user),
            _baselines(user),
            _warranties(user),
        )
        if concern.number
    ]


def _loads(user: User) -> Concern:
    lines = lines_visible_to(user).filter(verdict=Verdict.FAIL).order_by("site__name", "name")
    count, rows = _first(lines, lambda line: Row(line.name, _page("line", line.pk), line.site, line.says))
    return Concern(
        "Unsafe loads", number_of(count, "unsafe load"), count, rows, _list("lines", "verdict=fail"), caution="load"
    )


def _zones(user: User) -> Concern:
    zones = zones_visible_to(user).filter(drift=Drift.OUT).order_by("site__name", "name")
    count, rows = _first(zones, lambda zone: Row(zone.name, _page("zone", zone.pk), zone.site, _off_by(zone.drift_db)))
    short = f"{number_of(count, 'zone')} out of tolerance"
    return Concern("Zones out of tolerance", short, count, rows, _list("zones", "drift=out"))


def _off_by(drift_db: float | None) -> str:
    return "" if drift_db is None else f"{drift_db:+.1f} dB against the baseline".replace("-", "−")


def _drifting(user: User) -> Concern:
    sites = drifting_sites(user)
    worst = list(first_of(sites))
    rows = [Row(site.name, reverse("site-drift", args=[site.code]), None, _drift(site)) for site in worst]
    number = sites.count()
    # Where zones are out, the first sentence has counted them already.
    doubt = bool(worst) and not worst[0].zones_out
    short = f"{number_of(number, 'site')} with undecided zones" if doubt else ""
    return Concern("Sites by drift", short, number, rows, _list("sites", "drift=yes&sort=-zones-out-of-tolerance"))


def _drift(site: Any) -> str:
    counts = ((site.zones_out, "out"), (site.zones_undecided, "undecided"))
    said = ", ".join(f"{count} {word}" for count, word in counts if count)
    largest = f", largest drift {site.drift_db:+.1f} dB".replace("-", "−") if site.drift_db is not None else ""
    return f"{said} of {number_of(site.zone_count, 'zone')}{largest}"


def _restores(user: User) -> Concern:
    restores = restores_visible_to(user).filter(signed_at__isnull=True).order_by("started_at")
    count, rows = _first(
        restores,
        lambda restore: Row(
            f"To baseline {restore.baseline.number}",
            _page("restore", restore.pk),
            restore.site,
            f"started by {restore.started_by}",
        ),
    )
    return Concern("Open restores", number_of(count, "open restore"), count, rows, _list("sites", "restore=yes"))


def _baselines(user: User) -> Concern:
    sites = without_baseline(listed_sites(user)).order_by("name", "pk")
    why = "nobody can restore it to what was agreed"
    count, rows = _first(sites, lambda site: Row(site.name, site_page(site), None, why))
    short = f"{number_of(count, 'site')} without a baseline"
    return Concern("Sites without a baseline", short, count, rows, _list("sites", "baseline=no"))


def _warranties(user: User) -> Concern:
    items = warranty_ends_within(items_visible_to(user), WARRANTY_DAYS)
    today = timezone.localdate()
    count, rows = _first(
        items,
        lambda item: Row(
            f"{item.tag}, {item.make_model}", item_page(item), item.site, _ends(item.warranty_until, today)
        ),
    )
    verb = "warranty ends" if count == 1 else "warranties end"
    short = f"{count} {verb} within {WARRANTY_DAYS} days"
    query = f"warranty={WARRANTY_DAYS}&sort=warranty-until"
    return Concern(f"Warranties that end within {WARRANTY_DAYS} days", short, count, rows, _list("equipment", query))


def _ends(until: date, today: date) -> str:
    days = (until - today).days
    return "ends today" if days == 0 else f"ends in {number_of(days, 'day')}"


def _first(rows: QuerySet[Any], as_row: Callable[[Any], Row]) -> tuple[int, list[Row]]:
    return rows.count(), [as_row(row) for row in first_of(rows)]


def _page(name: str, pk: int) -> str:
    try:
        return reverse(name, args=[pk])
    except NoReverseMatch:
        return ""


def _list(name: str, query: str) -> str:
    try:
        return f"{reverse(name)}?{query}"
    except NoReverseMatch:
        return ""
