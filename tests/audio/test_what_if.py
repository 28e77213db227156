"""Another wiring of a line: solved as engineering and a circuit simulator solve it, and accepted exactly as shown."""

import math

import pytest
from pytest_django import DjangoAssertNumQueries

from registry.audio.loads import strings_from, with_wiring
from registry.audio.models import Coil, Line, LineKind, Loudspeaker
from registry.audio.rewiring import CHANGED_MEANWHILE, accept_wiring, wiring_mark
from registry.audio.what_if import (
    NOTHING_WIRED,
    Newcomer,
    Proposal,
    Seat,
    as_it_is,
    as_proposed,
    clashes,
    coil_changes,
    seat_of,
)
from registry.audio.wiring_changes import changes_said
from registry.demo.factories import (
    AmplifierModelFactory,
    CoilFactory,
    LineFactory,
    LoudspeakerFactory,
    LoudspeakerModelFactory,
    MakeModelFactory,
    RatingFactory,
    UserFactory,
    ZoneFactory,
)
from registry.engineering.line import Cable, Channel, RatedLoad, String, constant_voltage_line, low_impedance_line
from registry.engineering.line import Coil as PlainCoil
from registry.engineering.line_parts import pieces
from sites.models import YesNoUnknown
from tests.engineering import spice

pytestmark = pytest.mark.django_db
CHANNEL = Channel((RatedLoad(8.0, 40.0), RatedLoad(4.0, 70.0)), 4.0, {70.7: 120.0, 100.0: 120.0})


def series_of_three() -> Line:
    """LS-1, LS-2 and LS-3 of 8 Ω in series on 18 AWG, 16, 5 and 5 m."""
    line, model = LineFactory(name="Bar line"), LoudspeakerModelFactory()
    zone = ZoneFactory(site=line.site, name="Bar")
    for order, length_m in enumerate((16.0, 5.0, 5.0), start=1):
        unit = LoudspeakerFactory(site=line.site, zone=zone, label=f"LS-{order}", make_model=model)
        CoilFactory(line=line, loudspeaker=unit, string="1", order=order, cable="18 AWG", cable_m=length_m)
    return wired(line)


def constant_voltage() -> Line:
    """LS-1 to LS-4 on 10 W taps, one daisy chain of 30 m pieces of 0.75 mm²."""
    line = LineFactory(kind=LineKind.V100)
    model = LoudspeakerModelFactory(spec__taps_w=[5.0, 10.0, 20.0], spec__insertion_loss_db=0.0)
    for order in range(1, 5):
        unit = LoudspeakerFactory(site=line.site, label=f"LS-{order}", make_model=model)
        where = {"string": "1", "order": order, "cable": "0.75 mm2", "cable_m": 30.0}
        CoilFactory(line=line, loudspeaker=unit, tap_w=10.0, **where)
    return wired(line)


def wired(line: Line) -> Line:
    return with_wiring(Line.objects.filter(pk=line.pk)).get()


def coils_of(line: Line) -> dict[str, Coil]:
    return {coil.loudspeaker.label: coil for coil in line.coils.all()}


def each_alone(line: Line, **more: object) -> Proposal:
    """Every coil on a string of its own, on the cable that it has."""
    coils = coils_of(line).values()
    seats = {c.pk: Seat(c.loudspeaker.label, 1, c.tap_w, c.cable, c.cable_m) for c in coils}
    return Proposal(seats=seats, **more)  # type: ignore[arg-type]


BESIDE = Seat("9", 1, None, "18 AWG", 12.0)


def newcomer(line: Line, seat: Seat = BESIDE) -> Newcomer:
    return Newcomer("LS-9", LoudspeakerModelFactory(), line.site.zones.all()[0], seat)


def simulated(line: Line, coils: list[Coil], volts: float) -> tuple[float, list[float]]:
    """The load in ohms and the volts at every coil, by the simulator."""
    solved = as_proposed(line, Proposal()).load
    assert solved is not None
    spec = type(solved.spec)(solved.spec.kind, strings_from(coils), solved.spec.channel)
    deck = spice.Deck()
    nodes = deck.line(spec.kind, [list(string) for string in pieces(spec) if string is not None], volts)
    found = deck.run()
    return volts / -found["i(vc1)"], [found[a] - found[b] for string in nodes for a, b in string]


def test_a_changed_wiring_is_what_engineering_makes_of_the_same_parts() -> None:
    line = series_of_three()
    after = as_proposed(line, each_alone(line)).load
    coil = {"impedance_ohm": 8.0, "rated_power_w": 40.0}
    by_hand = low_impedance_line(
        strings=[
            String(str(n), (PlainCoil(f"LS-{n}", cable=Cable("18 AWG", length_m), **coil),))  # type: ignore[arg-type]
            for n, length_m in enumerate((16.0, 5.0, 5.0), start=1)
        ],
        channel=CHANNEL,
    )
    assert after is not None
    assert after.impedance_ohm == pytest.approx(by_hand.impedance_ohm)
    assert [u.power_w for u in after.loudspeakers] == pytest.approx([u.power_w for u in by_hand.loudspeakers])
    assert (after.verdict, after.says) == (by_hand.verdict, by_hand.says)


def test_taps_and_cables_are_what_engineering_makes_of_the_same_parts() -> None:
    line = constant_voltage()
    coils = coils_of(line)
    seats = {coils["LS-1"].pk: Seat("1", 1, 20.0, "2.5 mm2", 12.0)}
    after = as_proposed(line, Proposal(seats, frozenset({coils["LS-4"].pk}))).load
    old = Cable("0.75 mm2", 30.0)
    chain = [(20.0, Cable("2.5 mm2", 12.0)), (10.0, old), (10.0, old)]
    plain = tuple(PlainCoil(f"LS-{n}", tap_w=tap, cable=cable) for n, (tap, cable) in enumerate(chain, start=1))
    by_hand = constant_voltage_line(line_v=100.0, strings=[String("1", plain)], channel=CHANNEL)
    assert after is not None
    assert (after.impedance_ohm, after.power_w) == pytest.approx((by_hand.impedance_ohm, by_hand.power_w))
    assert after.loudspeakers[2].level_re_direct_db == pytest.approx(by_hand.loudspeakers[2].level_re_direct_db)


@pytest.mark.skipif(not spice.AVAILABLE, reason="ngspice is not installed here")
@pytest.mark.parametrize("kind", ["low", "100"])
def test_a_changed_wiring_agrees_with_the_simulator(kind: str) -> None:
    line = series_of_three() if kind == "low" else constant_voltage()
    coils = coils_of(line)
    seats = {coils["LS-2"].pk: Seat("2", 1, coils["LS-2"].tap_w, "1.5 mm2", 21.0)}
    joining = (newcomer(line, seat=Seat("2", 2, 5.0 if kind == "100" else None, "16 AWG", 9.0)),)
    after = as_proposed(line, Proposal(seats, frozenset({coils["LS-3"].pk}), joining))
    assert after.load is not None
    assert after.load.volts is not None
    ohm, volts = simulated(line, after.coils, after.load.volts)
    assert after.load.impedance_ohm == pytest.approx(ohm, rel=1e-6)
    ours = [math.sqrt(unit.power_w * unit.impedance_ohm) for unit in after.load.loudspeakers]  # type: ignore[operator]
    assert ours == pytest.approx(volts, rel=1e-6)


def test_the_difference_of_each_loudspeaker_is_the_ratio_of_its_watts() -> None:
    line = series_of_three()
    line.coils.update(cable_m=0.0)
    line = wired(line)
    coils = coils_of(line)
    beside = newcomer(line, seat=Seat("9", 1, None, "18 AWG", 0.0))
    alone = Proposal(left_out=frozenset({coils["LS-2"].pk, coils["LS-3"].pk}), joining=(beside,))
    rows = {row.name: row for row in coil_changes(as_it_is(line), as_proposed(line, alone))}
    # Three equal ones in series play 9.54 dB below one alone (20 lg 3), here with another 8 Ω beside it on a channel
    # that gives √(70·4) instead of √(40·8) volts: 20 lg √(280/320) = −0.58 dB.
    assert rows["LS-1"].difference_db == pytest.approx(20 * math.log10(3) + 10 * math.log10(280 / 320))
    assert (rows["LS-2"].after, rows["LS-2"].difference_db) == (None, None)
    assert (rows["LS-9"].before, rows["LS-9"].difference_db) == (None, None)


def test_a_louder_tap_is_louder_by_its_watts_even_where_the_channel_is_not_known() -> None:
    line = constant_voltage()
    line.amplifier.placements.all().delete()
    line.coils.update(cable_m=0.0)
    line = wired(line)
    coil = coils_of(line)["LS-1"]
    proposal = Proposal({coil.pk: Seat("1", 1, 20.0, coil.cable, 0.0)})
    rows = {row.name: row.difference_db for row in coil_changes(as_it_is(line), as_proposed(line, proposal))}
    # Twice the watts: 10 lg 2 = 3.01 dB.
    assert rows["LS-1"] == pytest.approx(3.01, abs=0.01)
    assert rows["LS-2"] == pytest.approx(0.0, abs=1e-9)


def test_another_amplifier_is_judged_by_its_own_ratings() -> None:
    line = series_of_three()
    strong = MakeModelFactory()
    RatingFactory(make_model=strong, load_ohm=8.0, power_w=160.0, min_load_ohm=2.0)
    before, after = as_it_is(line), as_proposed(line, each_alone(line, amplifier=strong))
    assert before.model == line.amplifier.placements.get().item.make_model
    assert after.model == strong
    assert as_proposed(line, each_alone(line)).verdict == "fail"
    assert after.load is not None
    assert after.load.channel_minimum_ohm == 2.0
    assert after.verdict != "fail"
    louder = coil_changes(before, as_proposed(line, Proposal(amplifier=strong)))[0].difference_db
    assert louder == pytest.approx(6.02, abs=0.01)  # four times the watts: 10 lg 4


def test_the_worst_single_fault_takes_the_whole_line() -> None:
    line = series_of_three()
    before, after = as_it_is(line), as_proposed(line, each_alone(line))
    assert before.fatal_faults == 0
    assert before.worst_fault is not None
    assert set(before.worst_fault.silenced) >= {"LS-2", "LS-3"}
    assert after.fatal_faults > 0
    assert after.worst_fault is not None
    assert after.worst_fault.survives is False


def test_nothing_is_asked_of_the_database_and_nothing_is_written(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    line = series_of_three()
    joining = (newcomer(line),)
    with django_assert_num_queries(0):
        proposal = each_alone(line, joining=joining)
        after = as_proposed(line, proposal)
        assert len(after.coils) == 4
        assert clashes(line, proposal) == []
        assert coil_changes(as_it_is(line), after)
        assert len(changes_said(line, proposal)) == 4
    assert {seat_of(coil).string for coil in coils_of(line).values()} == {"1"}


def test_a_line_that_loses_every_coil_has_no_load() -> None:
    line = series_of_three()
    after = as_proposed(line, Proposal(left_out=frozenset(coil.pk for coil in line.coils.all())))
    assert (after.load, after.verdict, after.says, after.worst_fault) == (None, "unknown", NOTHING_WIRED, None)


def test_who_moves_to_a_taken_position_is_blamed() -> None:
    line = series_of_three()
    coils = coils_of(line)
    first, second = coils["LS-1"], coils["LS-2"]
    assert [each.coil_id for each in clashes(line, Proposal({first.pk: Seat("1", 2)}))] == [first.pk]
    swapped = {first.pk: Seat("1", 2), second.pk: Seat("1", 1)}
    assert clashes(line, Proposal(swapped)) == []
    (clash,) = clashes(line, Proposal(joining=(newcomer(line, seat=Seat("1", 3)),)))
    assert (clash.newcomer, clash.says) == (0, "position 3 of string 1 is already taken by LS-3")


def test_accepting_writes_exactly_what_was_shown() -> None:
    line, by = series_of_three(), UserFactory()
    coils = coils_of(line)
    before_plus = coils["LS-1"].plus
    seats = {coils["LS-1"].pk: Seat("2", 1, None, "1.5 mm2", 7.5), coils["LS-2"].pk: Seat("1", 1, None, "", None)}
    proposal = Proposal(seats, frozenset({coils["LS-3"].pk}), (newcomer(line),))
    shown = as_proposed(line, proposal)
    written = accept_wiring(by=by, line=line, proposal=proposal, seen=wiring_mark(line.coils.all()))
    now = as_it_is(wired(line))
    assert {c.loudspeaker.label: seat_of(c) for c in now.coils} == {
        c.loudspeaker.label: seat_of(c) for c in shown.coils
    }
    assert now.load is not None
    assert shown.load is not None
    assert now.load.impedance_ohm == pytest.approx(shown.load.impedance_ohm)
    assert (written.verdict, written.says) == (shown.verdict, shown.says)
    assert Coil.objects.get(pk=coils["LS-1"].pk).plus == before_plus
    joined = Loudspeaker.objects.get(label="LS-9")
    assert (joined.make_model, joined.zone) == (proposal.joining[0].model, proposal.joining[0].zone)
    # What was there before stays, with who changed it.
    removed = Coil.history.get(history_type="-")  # type: ignore[attr-defined]
    assert (removed.id, removed.history_user) == (coils["LS-3"].pk, by)
    assert coils["LS-1"].history.first().history_user == by
    assert joined.history.get().history_user == by
    assert Loudspeaker.objects.filter(label="LS-3").exists()


def test_the_amplifier_is_not_changed_by_accepting() -> None:
    line = series_of_three()
    item = line.amplifier.placements.get().item
    proposal = each_alone(line, amplifier=AmplifierModelFactory())
    accept_wiring(by=UserFactory(), line=line, proposal=proposal, seen=wiring_mark(line.coils.all()))
    assert line.amplifier.placements.get().item == item


def test_an_acceptance_that_is_refused_changes_nothing_at_all() -> None:
    line = series_of_three()
    coils = coils_of(line)
    LoudspeakerFactory(site=line.site, label="LS-9")
    proposal = Proposal({coils["LS-1"].pk: Seat("7", 1)}, frozenset({coils["LS-3"].pk}), (newcomer(line),))
    with pytest.raises(ValueError, match="there is already a loudspeaker 'LS-9' here"):
        accept_wiring(by=UserFactory(), line=line, proposal=proposal, seen=wiring_mark(line.coils.all()))
    assert {label: seat_of(c) for label, c in coils_of(wired(line)).items()} == {
        label: seat_of(c) for label, c in coils.items()
    }
    assert not Coil.history.filter(history_type="-").exists()  # type: ignore[attr-defined]


def test_two_on_one_position_and_a_foreign_zone_are_refused() -> None:
    line = series_of_three()
    coils, mark = coils_of(line), wiring_mark(line.coils.all())
    with pytest.raises(ValueError, match="position 2 of string 1 is already taken by LS-2"):
        accept_wiring(by=UserFactory(), line=line, proposal=Proposal({coils["LS-1"].pk: Seat("1", 2)}), seen=mark)
    foreign = Newcomer("LS-9", LoudspeakerModelFactory(), ZoneFactory(), Seat("9", 1))
    with pytest.raises(ValueError, match="belongs to another site"):
        accept_wiring(by=UserFactory(), line=line, proposal=Proposal(joining=(foreign,)), seen=mark)
    deaf = Newcomer("LS-9", AmplifierModelFactory(), line.site.zones.all()[0], Seat("9", 1))
    with pytest.raises(ValueError, match="is no loudspeaker"):
        accept_wiring(by=UserFactory(), line=line, proposal=Proposal(joining=(deaf,)), seen=mark)
    assert not Loudspeaker.objects.filter(label="LS-9").exists()


def test_a_line_that_was_rewired_meanwhile_is_looked_at_again() -> None:
    line = series_of_three()
    mark = wiring_mark(line.coils.all())
    line.coils.filter(order=1).update(cable_m=99.0)
    with pytest.raises(ValueError, match=CHANGED_MEANWHILE):
        accept_wiring(by=UserFactory(), line=line, proposal=each_alone(line), seen=mark)
    assert {seat_of(coil).string for coil in coils_of(wired(line)).values()} == {"1"}


@pytest.mark.parametrize("value", [YesNoUnknown.YES, YesNoUnknown.UNKNOWN])
def test_a_line_that_may_serve_life_safety_is_never_rewired(value: YesNoUnknown) -> None:
    line = series_of_three()
    Line.objects.update(life_safety=value)
    with pytest.raises(ValueError, match="is or may be life-safety related"):
        accept_wiring(by=UserFactory(), line=line, proposal=each_alone(line), seen=wiring_mark(line.coils.all()))
    assert {seat_of(coil).string for coil in coils_of(wired(line)).values()} == {"1"}


def test_the_changes_are_said_in_the_units_of_the_site() -> None:
    line = series_of_three()
    line.site.units = "us"
    coils = coils_of(line)
    proposal = Proposal(
        {coils["LS-1"].pk: Seat("2", 1, None, "1.5 mm2", 30.48)},
        frozenset({coils["LS-2"].pk}),
        (newcomer(line, seat=Seat("3", 1, None, "18 AWG", 3.048)),),
    )
    moved, left, joined = changes_said(line, proposal)
    assert moved == "LS-1: string 1 becomes 2, cable 18 AWG becomes 1.5 mm², length 52.5\xa0ft becomes 100\xa0ft."
    assert left.startswith("LS-2 leaves the line")
    assert joined.endswith("in zone Bar, joins: string 3, order 1, cable 18 AWG, length 10\xa0ft.")
