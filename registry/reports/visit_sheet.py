"""The visit report as a printed sheet."""

from collections.abc import Callable, Iterator

from registry.reports.sheet import Block, Caution, Cell, Column, Photo, Points, Section, Sheet, Table, Words, sheet_pdf
from registry.reports.visit_report import ReportFinding, ReportPhoto, VisitReport

COLUMNS = (
    Column("Zone", 2.0),
    Column("Target", 1.4),
    Column("Found", 1.2),
    Column("Left", 1.2),
    Column("Within tolerance"),
)
Picture = Callable[[int], bytes]


def visit_report_pdf(report: VisitReport, *, picture: Picture) -> bytes:
    """Return the report as an A4 PDF; `picture` gives the JPEG of a photo by its number.

    Raises UnprintableError when there is too much of it.
    """
    return sheet_pdf(
        Sheet(
            title=f"Visit report: {report.site}",
            answer=report.result,
            dated=report.dated,
            head=(Words(f"{report.client}, {report.site}. {report.title}, {report.on}."),),
            sections=tuple(_sections(report, picture)),
        )
    )


def _sections(report: VisitReport, picture: Picture) -> Iterator[Section]:
    if report.safety:
        yield Section("Safety first", tuple(Caution(says) for says in report.safety))
    yield Section("Why we came", (Words(report.came),))
    if report.zones:
        rows = tuple((Cell(z.zone, strong=True), z.target, z.found, z.left, z.within) for z in report.zones)
        yield Section("Zones", (Words(report.baseline), Table(COLUMNS, rows)))
    yield from _points("What we did", report.did)
    if report.findings:
        blocks = [block for each in report.findings for block in _finding(each, picture)]
        yield Section("What we found", tuple(blocks))
    if report.photos:
        yield Section("Photos", tuple(_photo(each, picture) for each in report.photos))
    yield from _points("What we could not do, and why", report.could_not)
    if report.recommended:
        advice = tuple(f"{when}: {says}" for when, all_said in report.recommended for says in all_said)
        yield from _points("What we recommend", advice)
    yield from _points("Equipment and parts", report.equipment)
    yield Section("Next visit", (Words(_sentence(report.next_visit)),))
    yield Section("Time and signature", tuple(Words(each) for each in signed_words(report)))
    for added in report.addenda:
        yield Section(f"Added on {added.on} by {added.by}", (Words(added.says),))


def signed_words(report: VisitReport) -> list[str]:
    """Return time, people and signature in sentences."""
    said = [_sentence(f"{report.time}, by {report.people}" if report.people else report.time)]
    if not report.is_signed:
        return [*said, "Not signed yet."]
    accepted = f"Accepted by {report.accepted_by}." if report.accepted_by else "Nobody was there to accept it."
    return [*said, f"{report.outcome}. Signed {report.signature}. {accepted}"]


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}".rstrip(" .") + "."


def _points(heading: str, items: tuple[str, ...]) -> Iterator[Section]:
    if items:
        yield Section(heading, (Points(items),))


def _finding(finding: ReportFinding, picture: Picture) -> Iterator[Block]:
    about = f" ({finding.about})" if finding.about else ""
    yield Words(f"{finding.severity}{about}: {finding.says.rstrip('.')}. {_sentence(finding.follow_up)}")
    yield from (_photo(each, picture) for each in finding.photos)


def _photo(photo: ReportPhoto, picture: Picture) -> Photo:
    return Photo.of(picture(photo.pk), alt=photo.caption or "Photo without words", caption=photo.caption)
