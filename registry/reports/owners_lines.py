"""Lines that an owner has to know of: not safe to drive as they are wired, or not in order when last measured."""

from collections.abc import Iterator

from django.db.models import Q

from registry.audio.models import Line, Verdict
from registry.planning.last_measured import measured_words, with_wrong, wrong_at
from registry.reports.owners_figures import LineTrouble
from registry.reports.owners_rows import OwnersRows
from registry.reports.plain_words import without_addresses
from registry.reports.wording import day


def lines_of(rows: OwnersRows) -> Iterator[LineTrouble]:
    """Yield a row per line in trouble, those that are not safe first. One query."""
    lines = with_wrong(Line.objects.filter(site__in=rows.sites))
    found = lines.filter(Q(verdict=Verdict.FAIL) | Q(wrong__isnull=False)).order_by("site__name", "name")
    unsafe = {line.pk: line for line in found if line.verdict == Verdict.FAIL}
    for line in unsafe.values():
        name = rows.sites[line.site_id].name
        yield LineTrouble(name, without_addresses(line.name), line.says, is_unsafe=True)
    for row in wrong_at(line for line in found if line.pk not in unsafe).values():
        at = rows.sites[row.line.site_id]
        says = f"{measured_words(row)}, {day(row.taken_at.astimezone(at.zone_info))}"
        yield LineTrouble(at.name, without_addresses(row.line.name), says, is_unsafe=False)
