"""From acceptance to the register: what the tables hold is imported, and then the checks say what the plan said."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

from registry.audio.models import Line, Verdict
from registry.equipment.models import Item, Place
from registry.equipment.queries import settings_now
from registry.exchange.checking import check_site
from registry.exchange.designs import put_into_register, survey_files, tables_in
from registry.exchange.exporting import export_survey
from registry.exchange.folder import SurveyRefusedError
from registry.exchange.importing import import_survey
from registry.planning.design import Design
from registry.planning.fold_plans import accept_plan, keep_plan
from registry.planning.folding_input import FoldRequest
from registry.planning.frozen import thawed
from registry.planning.kept import fitted_as, kept_of
from registry.planning.models import FoldPlan, PlanDecision
from registry.planning.queries import acceptance_of
from sites.models import Site, User
from sites.put import RefusedError
from tests.planning.asking import kept_for, requested

AT = datetime(2026, 6, 2, 12, 0, tzinfo=UTC)


def accepted(site: Site, by: User, request: FoldRequest, *, amplifiers: int | None = None) -> FoldPlan:
    kept = kept_for(site, request, amplifiers=amplifiers)
    plan = keep_plan(by=by, site=site, title="As agreed", kept=kept, inputs="asked=1")
    accept_plan(by=by, plan=plan, agreed="The owner")
    return plan


def design_of(plan: FoldPlan) -> Design:
    acceptance = acceptance_of(plan)
    assert acceptance is not None
    assert acceptance.design is not None
    return thawed(Design, acceptance.design["design"])


def tables_of(plan: FoldPlan) -> dict[str, list[dict[str, Any]]]:
    acceptance = acceptance_of(plan)
    assert acceptance is not None
    assert acceptance.design is not None
    return acceptance.design["tables"]


@pytest.fixture(params=[1.1, 2.1, 4.6])
def plan(request: pytest.FixtureRequest, hall: Site, tech: User) -> FoldPlan:
    return accepted(hall, tech, requested(hall, tolerance_db=request.param))


def said(rows: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Rows without what is not known, which a file doesn't hold."""
    return ({key: value for key, value in row.items() if value not in (None, "")} for row in rows)


def test_the_tables_come_back_from_their_survey_files_as_they_were(plan: FoldPlan) -> None:
    tables = tables_of(plan)
    back = tables_in(survey_files(tables, taken_at=AT))
    assert {name: list(said(rows)) for name, rows in tables.items()} == back


def test_after_the_import_the_checks_say_the_planned_loads(plan: FoldPlan, hall: Site, tech: User) -> None:
    planned = fitted_as(kept_of(plan), acceptance_of(plan))
    put_into_register(by=tech, plan=plan, equipment={})
    lines = {(line["amplifier"], line["channel"]): line for line in check_site(hall)["lines"]}
    assert len(lines) == len(planned.design.lines)  # nothing is left on the old amplifier
    for line, load in zip(planned.design.lines, planned.loads, strict=True):
        said_now = lines[line.place, line.channel]
        assert said_now["line"] == line.name
        assert said_now["impedance_ohm"] == pytest.approx(load.impedance_ohm, rel=1e-12)
        assert said_now["channel_minimum_ohm"] == 4.0
        assert said_now["checks"] == [{"code": c.code, "verdict": c.verdict, "says": c.says} for c in load.checks]
        assert {check["verdict"] for check in said_now["checks"] if check["code"] == "load"} == {Verdict.PASS}


def test_the_load_without_its_cables_is_the_one_that_was_searched_with(plan: FoldPlan) -> None:
    planned = fitted_as(kept_of(plan), acceptance_of(plan))
    searched = {
        (box.seat.place, channel.channel): channel.load_ohm
        for box, amplifier in zip(planned.design.boxes, planned.plan.amplifiers, strict=True)
        for channel in amplifier.channels
        if channel.load_ohm is not None
    }
    assert set(searched) == {(line.place, line.channel) for line in planned.design.lines}
    for line, load in zip(planned.design.lines, planned.loads, strict=True):
        nominal = 1 / sum(1 / sum(coil.wired.impedance_ohm or 0 for coil in coils) for coils in line.strings.values())
        assert searched[line.place, line.channel] == pytest.approx(nominal)
        assert load.impedance_ohm is not None
        assert nominal <= load.impedance_ohm < nominal * 1.1  # 1.5 mm², 29 m at most, there and back


def test_every_loudspeaker_hangs_where_the_design_says_and_none_is_lost(plan: FoldPlan, hall: Site, tech: User) -> None:
    before = sorted(loudspeakers(hall))
    put_into_register(by=tech, plan=plan, equipment={})
    assert sorted(loudspeakers(hall)) == before
    wired = {
        (coil.loudspeaker.label, coil.coil): (line.name, line.amplifier.name, line.channel, coil.string, coil.order)
        for line in Line.objects.filter(site=hall)
        for coil in line.coils.all()
    }
    designed = {
        coil.wired.key: (line.name, line.place, line.channel, coil.string, coil.order)
        for line in design_of(plan).lines
        for coil in line.coils
    }
    assert wired == designed


def loudspeakers(site: Site) -> list[tuple[str, str]]:
    return list(Line.objects.filter(site=site).values_list("coils__loudspeaker__label", "coils__coil"))


def test_an_export_comes_back_without_a_change(plan: FoldPlan, hall: Site, tech: User) -> None:
    put_into_register(by=tech, plan=plan, equipment={})
    out = export_survey(hall)
    assert import_survey(out, by=tech).changes == []
    Site.objects.filter(pk=hall.pk).update(code="elsewhere")
    assert export_survey(Site.objects.get(pk=hall.pk))["lines.csv"] == out["lines.csv"].replace(
        b"millrace,", b"elsewhere,"
    )


def test_groups_sources_and_drafts_are_settings_of_the_new_places(plan: FoldPlan, hall: Site, tech: User) -> None:
    put_into_register(by=tech, plan=plan, equipment={}, at=AT)
    for box in design_of(plan).boxes:
        place = Place.objects.get(site=hall, name=box.seat.place)
        now = {key: setting.value for key, setting in settings_now([place])[place.pk].items()}
        assert (now["group"], now["source"], now["input"]) == (box.source, box.source, "network")
        assert now["draft dial"] == "50"
        assert ("draft cap" in now) == (box.draft.cap is not None)
        assert settings_now([place])[place.pk]["group"].record.taken_at == AT


def test_a_dry_run_says_it_all_and_writes_nothing(plan: FoldPlan, hall: Site, tech: User) -> None:
    before = export_survey(hall)
    tried = put_into_register(by=tech, plan=plan, equipment={}, dry_run=True)
    assert tried.imported.new > 0
    assert tried.retired
    assert export_survey(hall) == before
    assert not PlanDecision.objects.filter(decided="wired").exists()


def test_what_was_read_off_the_amplifiers_goes_in_with_them(plan: FoldPlan, hall: Site, tech: User) -> None:
    first = design_of(plan).boxes[0].seat.place
    read = {first: {"tag": "MH-20", "serial": "A-77", "rack": "Rack A", "position_u": 3}}
    put_into_register(by=tech, plan=plan, equipment=read)
    place = Place.objects.select_related("rack").get(site=hall, name=first)
    item = Item.objects.get(placements__place=place)
    assert (item.tag, item.serial, str(place.rack), place.position_u) == ("MH-20", "A-77", "Rack A", 3)


def test_a_rack_unit_that_is_taken_refuses_all_of_it(plan: FoldPlan, hall: Site, tech: User) -> None:
    before = export_survey(hall)
    first = design_of(plan).boxes[0].seat.place
    with pytest.raises(SurveyRefusedError, match="already taken by Old amplifier"):
        put_into_register(by=tech, plan=plan, equipment={first: {"rack": "Rack A", "position_u": 11}})
    assert export_survey(hall) == before


def test_it_goes_in_once(plan: FoldPlan, tech: User) -> None:
    put_into_register(by=tech, plan=plan, equipment={})
    with pytest.raises(RefusedError, match="only an accepted one is wired"):
        put_into_register(by=tech, plan=plan, equipment={})


def test_wiring_that_changed_since_is_not_overwritten(plan: FoldPlan, hall: Site, tech: User) -> None:
    Line.objects.filter(site=hall, name="L5 Shop").update(life_safety="yes")
    with pytest.raises(RefusedError, match="has changed since plan 1"):
        put_into_register(by=tech, plan=plan, equipment={})


def test_a_second_plan_takes_the_places_of_the_first(hall: Site, tech: User) -> None:
    first = accepted(hall, tech, requested(hall, tolerance_db=1.1))
    put_into_register(by=tech, plan=first, equipment={})
    second = accepted(hall, tech, requested(hall, tolerance_db=4.6))
    design = design_of(second)
    assert not any(box.seat.is_new for box in design.boxes)
    assert tables_of(second)["equipment"] == []
    put_into_register(by=tech, plan=second, equipment={})
    planned = fitted_as(kept_of(second), acceptance_of(second))
    now = {(line["amplifier"], line["channel"]): line["impedance_ohm"] for line in check_site(hall)["lines"]}
    assert now == {
        (line.place, line.channel): pytest.approx(load.impedance_ohm)
        for line, load in zip(planned.design.lines, planned.loads, strict=True)
    }
    assert (planned.bought, planned.price) == ({}, 0)


def test_a_zone_that_stays_keeps_its_line_untouched(hall: Site, tech: User) -> None:
    plan = accepted(hall, tech, requested(hall, ["Foyer", "Shop"], tolerance_db=2.1))
    before = {line["line"]: line for line in check_site(hall)["lines"]}
    put_into_register(by=tech, plan=plan, equipment={})
    after = {line["line"]: line for line in check_site(hall)["lines"]}
    for name in ("L2 Boulder hall", "L7 Training room", "L9 Terrace"):
        assert after[name] == before[name]
