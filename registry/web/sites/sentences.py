"""The first sentence of a page: the answer, from counts."""

from collections import Counter
from collections.abc import Iterable, Sequence

from registry.audio.models import Drift, Line, Verdict, Zone
from registry.planning.last_measured import measured_words
from registry.planning.models import LineMeasurement
from registry.reports.wording import day
from registry.visits.models import Finding

ORDER = (
    (Drift.WITHIN, "in tolerance"),
    (Drift.OUT, "out of tolerance"),
    (Drift.UNDECIDED, "undecided"),
    (Drift.NOT_MEASURED, "not measured"),
    (Drift.NO_BASELINE, "without a baseline"),
)


def number_of(count: int, noun: str) -> str:
    """Return a count with its noun: 1 zone, 2 zones."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def zones_sentence(zones: Iterable[Zone]) -> str:
    """Return how many zones are in tolerance, out, undecided and not measured."""
    counts = Counter(Drift(zone.drift) for zone in zones)
    said = [(counts[drift], words) for drift, words in ORDER if counts[drift]]
    if not said:
        return "No zones are recorded yet."
    (first, words), *rest = said
    return f"{number_of(first, 'zone')} {words}{''.join(f', {count} {words}' for count, words in rest)}."


def lines_sentence(lines: Iterable[Line]) -> str:
    """Return how many lines are unsafe or can't be judged; nothing when all are fine."""
    counts = Counter(Verdict(line.verdict) for line in lines)
    said = []
    if failing := counts[Verdict.FAIL]:
        said.append(f"{number_of(failing, 'line')} {'is' if failing == 1 else 'are'} not safe to drive.")
    if unknown := counts[Verdict.UNKNOWN]:
        said.append(f"{number_of(unknown, 'line')} can't be judged: data are missing.")
    return " ".join(said)


def measured_sentences(rows: Iterable[LineMeasurement]) -> list[str]:
    """Return of every line that was not in order when it was last measured what was found, and when."""
    return [f"Line {row.line} was not in order when last measured, {_day(row)}: {measured_words(row)}." for row in rows]


def _day(row: LineMeasurement) -> str:
    return day(row.taken_at.astimezone(row.line.site.zone_info))


def findings_sentence(gravest_first: Sequence[Finding]) -> str:
    """Return how grave the gravest open finding is; nothing when none is open."""
    return f"Gravest open finding: {gravest_first[0].get_severity_display().lower()}." if gravest_first else ""
