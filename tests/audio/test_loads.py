"""Rows become engineering's plain values, and its verdicts are stored."""

import pytest

from registry.audio.editing import disconnect_coil, rewire_coil
from registry.audio.loads import load_of, refresh_verdicts, with_wiring
from registry.audio.models import Line
from registry.demo.factories import (
    CoilFactory,
    LineFactory,
    LoudspeakerFactory,
    LoudspeakerModelFactory,
    SiteFactory,
    UserFactory,
)
from sites.models import Site

pytestmark = pytest.mark.django_db


def loaded(line: Line) -> object:
    return load_of(with_wiring(Line.objects.filter(pk=line.pk)).get())


def line_of(count: int, *, series: bool = False, site: Site | None = None, **coil: object) -> Line:
    line, model = LineFactory(site=site or SiteFactory()), LoudspeakerModelFactory()
    for number in range(1, count + 1):
        unit = LoudspeakerFactory(site=line.site, make_model=model)
        where = {"string": "1", "order": number} if series else {"string": str(number), "order": 1}
        CoilFactory(line=line, loudspeaker=unit, cable="", cable_m=None, **where, **coil)
    return line


@pytest.mark.parametrize(("count", "ohm"), [(1, 8.0), (2, 4.0), (3, 8 / 3), (6, 8 / 6)])
def test_loudspeakers_in_parallel(count: int, ohm: float) -> None:
    # College Physics 2e, "Resistors in Series and Parallel": 1/R = Σ 1/Ri
    assert loaded(line_of(count)).impedance_ohm == pytest.approx(ohm)  # type: ignore[attr-defined]


def test_three_in_series_get_a_ninth_each() -> None:
    load = loaded(line_of(3, series=True))
    assert load.impedance_ohm == pytest.approx(24.0)  # type: ignore[attr-defined]
    assert [unit.level_re_direct_db for unit in load.loudspeakers] == pytest.approx([-9.542] * 3, abs=0.001)  # type: ignore[attr-defined]


def test_an_unsafe_line_fails_with_the_numbers() -> None:
    line = line_of(6)
    refresh_verdicts(Line.objects.all())
    line.refresh_from_db()
    assert line.verdict == "fail"
    assert "1.33 Ω" in line.says
    assert "4 Ω" in line.says


def test_an_amplifier_place_that_nobody_fills_leaves_the_load_unknown() -> None:
    line = line_of(2)
    line.amplifier.placements.all().delete()
    refresh_verdicts(Line.objects.all())
    line.refresh_from_db()
    assert line.verdict == "unknown"


def test_an_unknown_impedance_is_not_guessed() -> None:
    line = line_of(2)
    spec = line.coils.first().loudspeaker.make_model.loudspeaker  # type: ignore[union-attr]
    spec.impedance_ohm = None
    spec.save()
    load = loaded(line)
    assert load.impedance_ohm is None  # type: ignore[attr-defined]
    assert load.verdict == "unknown"  # type: ignore[attr-defined]


def test_taking_a_coil_off_judges_the_line_again() -> None:
    line = line_of(3)
    refresh_verdicts(Line.objects.all())
    line.refresh_from_db()
    assert line.verdict == "fail"
    coil = line.coils.first()
    assert coil is not None
    by = UserFactory()
    disconnect_coil(by=by, coil=coil)
    line.refresh_from_db()
    assert line.verdict != "fail"
    removed = type(coil).history.filter(history_type="-").get()  # type: ignore[attr-defined]
    assert removed.history_user == by


def test_rewiring_a_coil_judges_both_lines() -> None:
    first = line_of(3)
    second = line_of(1, site=first.site)
    coil = first.coils.first()
    assert coil is not None
    rewire_coil(by=UserFactory(), coil=coil, values={"line_id": second.pk, "string": "9"})
    for line in (first, second):
        line.refresh_from_db()
        assert line.verdict in {"pass", "warn", "unknown"}
    assert second.coils.count() == 2


@pytest.mark.parametrize(
    ("channel", "exists"), [("1", True), ("2", True), ("9", False), ("B", True), ("C", False), ("left", True)]
)
def test_a_channel_that_the_amplifier_does_not_have_fails(channel: str, exists: bool) -> None:
    line = line_of(1)
    Line.objects.filter(pk=line.pk).update(channel=channel)
    load = loaded(line)
    assert ("channel" in [check.code for check in load.checks if check.verdict == "fail"]) is not exists  # type: ignore[attr-defined]


def test_what_is_no_amplifier_drives_no_line() -> None:
    line = line_of(1)
    model = line.amplifier.placements.get().item.make_model
    model.ratings.all().delete()
    type(model).objects.filter(pk=model.pk).update(kind="ups")
    assert loaded(line).verdict == "fail"  # type: ignore[attr-defined]
