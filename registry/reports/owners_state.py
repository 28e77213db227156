"""A plain snapshot of what a report stands on, and what has changed between two of them. Keys are ids, as text."""

import hashlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

from registry.equipment.models import Setting
from registry.reports.owners_facts import plain
from registry.reports.owners_rows import OwnersRows
from registry.reports.plain_words import without_addresses
from registry.reports.wording import day
from registry.visits.models import Visit

MOST_NAMED: Final = 10
Snapshot = Mapping[str, Any]


def snapshot_of(rows: OwnersRows) -> dict[str, Any]:
    """Return what holds now at these sites; the same rows give the same snapshot. A constant number of queries."""
    at = {pk: f", {site.name}" if len(rows.sites) > 1 else "" for pk, site in rows.sites.items()}
    return {
        "items": {
            str(each.item_id): [
                f"{each.what} ({each.tag})",
                str(each.place_id),
                without_addresses(each.place or "") + at[each.site_id],
            ]
            for each in rows.things
            if each.place_id is not None
        },
        "settings": _settings(at),
        "baselines": {str(each.pk): f"baseline {each.number}{at[each.site_id]}" for each in rows.baselines},
        "findings": {
            str(each.pk): [plain(each.says, rows.hosts) + at[each.site_id], each.is_open] for each in rows.findings
        },
        "visits": {
            str(each.pk): f"{plain(each.title, rows.hosts)}{at[each.site_id]}, {day(_closed_on(each, rows))}"
            for each in rows.visits
            if each.closed_at is not None
        },
    }


def _closed_on(visit: Visit, rows: OwnersRows) -> date:
    at = visit.begun_at or visit.starts_at
    return at.astimezone(rows.sites[visit.site_id].zone_info).date()


def _settings(at: Mapping[int, str]) -> dict[str, list[str]]:
    """Of the settings only a digest: whether they differ is for the owner, what they say may be an address."""
    rows = Setting.objects.filter(record__place__site__in=at, record__correction__isnull=True)
    rows = rows.order_by("record__taken_at", "record__state", "record_id", "key")
    newest: dict[int, dict[str, str]] = defaultdict(dict)
    names: dict[int, str] = {}
    place = ("record__place_id", "record__place__name", "record__place__site_id")
    for pk, name, site, key, value, unit in rows.values_list(*place, "key", "value", "unit").iterator():
        newest[pk][key] = f"{value} {unit}"
        names[pk] = without_addresses(name) + at[site]
    return {str(pk): [names[pk], _digest(values)] for pk, values in newest.items()}


def _digest(values: Mapping[str, str]) -> str:
    text = "\n".join(f"{key}={values[key]}" for key in sorted(values))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def changes(before: Snapshot, now: Snapshot) -> tuple[str, ...]:
    """Return in sentences what has changed from one snapshot to a later one."""
    told = {**_items_told(before["items"], now["items"]), **_settings_told(before["settings"], now["settings"])}
    told["Newly agreed state recorded"] = _new(before["baselines"], now["baselines"])
    told |= _findings_told(before["findings"], now["findings"])
    told["Visits made"] = _new(before["visits"], now["visits"])
    return tuple(_sentence(what, things) for what, things in told.items() if things)


def _new(was: Mapping[str, str], here: Mapping[str, str]) -> list[str]:
    return [words for key, words in here.items() if key not in was]


def _items_told(was: Mapping[str, Any], here: Mapping[str, Any]) -> dict[str, list[str]]:
    left = {place: (what, where) for key, (what, place, where) in was.items() if key not in here}
    come = {place: (what, where) for key, (what, place, where) in here.items() if key not in was}
    moved = [each for key, each in here.items() if key in was and was[key][1] != each[1]]
    return {
        "Replaced": [f"{where}: {left[at][0]} by {what}" for at, (what, where) in come.items() if at in left],
        "Added": [f"{what} at {where}" for at, (what, where) in come.items() if at not in left],
        "Taken out": [f"{what} from {where}" for at, (what, where) in left.items() if at not in come],
        "Moved": [f"{what} to {where}" for what, _, where in moved],
    }


def _settings_told(was: Mapping[str, Any], here: Mapping[str, Any]) -> dict[str, list[str]]:
    return {
        "Settings changed": [name for key, (name, said) in here.items() if key in was and was[key][1] != said],
        "Settings recorded for the first time": [name for key, (name, _) in here.items() if key not in was],
    }


def _findings_told(was: Mapping[str, Any], here: Mapping[str, Any]) -> dict[str, list[str]]:
    was_open = {key: is_open for key, (_, is_open) in was.items()}
    return {
        "Newly found": [says for key, (says, _) in here.items() if key not in was],
        "Dealt with": [says for key, (says, is_open) in here.items() if not is_open and was_open.get(key, True)],
        "Open again": [says for key, (says, is_open) in here.items() if is_open and was_open.get(key) is False],
    }


def _sentence(what: str, things: Sequence[str]) -> str:
    more = len(things) - MOST_NAMED
    told = "; ".join(sorted(each.rstrip(".") for each in things)[:MOST_NAMED])
    return f"{what}: {told}{f'; and {more} more' if more > 0 else ''}."
