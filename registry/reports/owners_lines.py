"""Lines that an owner has to know of: not safe to drive as they are wired, or not in order when last measured."""

from collections.abc import Iterator, Sequence

from registry.audio.models import Line, Verdict
from registry.planning.last_measured import measured_words, not_in_order
from registry.reports.owners_figures import LineTrouble
from registry.reports.plain_words import without_addresses
from registry.reports.wording import day
from sites.models import Site


def lines_of(sites: Sequence[Site]) -> Iterator[LineTrouble]:
    """Yield a row per line in trouble, those that are not safe first. Two queries."""
    names = {site.pk: site for site in sites}
    lines = list(Line.objects.filter(site__in=names).order_by("site__name", "name"))
    unsafe = [line for line in lines if line.verdict == Verdict.FAIL]
    for line in unsafe:
        yield LineTrouble(names[line.site_id].name, without_addresses(line.name), line.says, is_unsafe=True)
    measured = not_in_order(line for line in lines if line not in unsafe)
    for row in measured.values():
        at = names[row.line.site_id]
        says = f"{measured_words(row)}, {day(row.taken_at.astimezone(at.zone_info))}"
        yield LineTrouble(at.name, without_addresses(row.line.name), says, is_unsafe=False)
