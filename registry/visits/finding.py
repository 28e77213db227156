"""Writes of findings: at a visit or without one; edited, planned, closed, and opened again when they were not done."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model

from registry.audio.models import Line, Zone
from registry.equipment.models import Place
from registry.visits.models import Finding, Visit
from registry.visits.under_way import clock, happened, under_way
from sites.models import Site, User
from sites.put import Problem, RefusedError, refuse
from sites.versions import check_version

Values = Mapping[str, Any]
ABOUT: Mapping[str, type[Model]] = {"place": Place, "line": Line, "zone": Zone}
# What stands in the report that was signed; the rest is planning, which goes on.
SIGNED = ("severity", "says", "internal", "place_id", "line_id", "zone_id")


@transaction.atomic
def add_finding(
    *, by: User, site: Site, values: Values, visit: Visit | None = None, at: datetime | None = None
) -> Finding:
    """Record a finding: `severity`, `says`, `follow_up`, `due_on`, `internal`, `place_id`, `line_id`, `zone_id`.

    Raises ValueError when the visit is not under way or of another site, or a value can't be taken.
    """
    if visit is not None:
        visit = under_way(visit)
        if visit.site_id != site.pk:
            raise ValueError("this visit is at another site")
    finding = Finding(site=site, visit=visit, found_by=by, found_at=happened(at, visit))
    return _written(finding, values, by)


@transaction.atomic
def edit_finding(*, by: User, finding: Finding, values: Values, version: str | None = None) -> Finding:
    """Change a finding. What a signed report says stays; follow-up and due date can still be planned anew.

    Raises ValueError when it is closed, somebody changed the same since `version`, or its visit's report is signed.
    """
    finding = _open(finding)
    check_version(finding, version, values)
    _refuse_signed(finding, values)
    return _written(finding, values, by)


def _refuse_signed(finding: Finding, values: Values) -> None:
    if finding.visit is None or finding.visit.closed_at is None:
        return
    given = [name for name in SIGNED if name in values]
    changed = [name for name in given if (getattr(finding, name) or None) != (values[name] or None)]
    if changed:
        says = "The visit is closed and its report signed: this stays. Write an addendum, or a new finding."
        raise RefusedError([Problem("finding", (finding.pk,), name, says) for name in changed])


@transaction.atomic
def close_finding(
    *,
    by: User,
    finding: Finding,
    done: str,
    visit: Visit | None = None,
    version: str | None = None,
    at: datetime | None = None,
) -> Finding:
    """Close a finding with what was done, at a visit or without one.

    Raises ValueError when it is closed already (by whom and when), nothing is said, or the visit is not under way.
    """
    finding = _open(finding)
    check_version(finding, version, {"done": done.strip()})
    if visit is not None:
        visit = under_way(visit)
        if visit.site_id != finding.site_id:
            raise ValueError("this visit is at another site")
    if not done.strip():
        raise refuse("finding", (finding.pk,), "done", "Say what was done, or why nothing has to be.")
    finding.done, finding.closed_visit = done.strip(), visit
    finding.closed_at, finding.closed_by = happened(at, visit), by
    return _saved(finding, by)


@transaction.atomic
def reopen_finding(*, by: User, finding: Finding, version: str | None = None) -> Finding:
    """Open a finding again that was not done after all; its history keeps who closed it.

    Raises ValueError when it is open, or when it was closed at a visit whose report is signed.
    """
    finding = _locked(finding)
    check_version(finding, version, {"done": ""})
    if finding.is_open:
        return finding
    if finding.closed_visit is not None and finding.closed_visit.closed_at is not None:
        raise ValueError("a signed report says that this is done: record a new finding")
    finding.done, finding.closed_at, finding.closed_by, finding.closed_visit = "", None, None, None
    return _saved(finding, by)


def _locked(finding: Finding) -> Finding:
    with_visits = Finding.objects.select_for_update(of=("self",))
    return with_visits.select_related("site", "visit", "closed_visit", "closed_by").get(pk=finding.pk)


def _open(finding: Finding) -> Finding:
    found = _locked(finding)
    if found.closed_at is not None:
        when = clock(found.site, found.closed_at)
        raise ValueError(f"{found.closed_by} closed this finding on {when} ({found.done}): open it again first")
    return found


def _written(finding: Finding, values: Values, by: User) -> Finding:
    for name, value in values.items():
        setattr(finding, name, value.strip() if isinstance(value, str) else value)
    problems = list(_elsewhere(finding))
    try:
        finding.clean_fields(exclude=["site", "visit", "place", "line", "zone", "found_by", "closed_by"])
    except ValidationError as error:
        problems += [(name, " ".join(said)) for name, said in error.message_dict.items()]
    if problems:
        raise RefusedError([Problem("finding", (finding.pk,), name, says) for name, says in problems])
    return _saved(finding, by)


def _elsewhere(finding: Finding) -> list[tuple[str, str]]:
    """What a finding is about is of its site."""
    wanted = {name: getattr(finding, f"{name}_id") for name in ABOUT}
    return [
        (name, f"This {name} is of another site.")
        for name, pk in wanted.items()
        if pk and not ABOUT[name]._base_manager.filter(pk=pk, site=finding.site_id).exists()
    ]


def _saved(finding: Finding, by: User) -> Finding:
    finding._history_user = by  # type: ignore[attr-defined]
    finding.save()
    return finding
