"""Ceiling loudspeakers: covered circle, layout, level map."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.engineering.coverage import (
    CeilingLoudspeaker,
    covered_diameter_m,
    edge_level_db,
    layout_for,
    level_map,
    spread_of,
)
from registry.engineering.level import add_levels, level_at
from tests.engineering.reference import close, each


@each("acoustics", "coverage_diameter")
def test_the_covered_diameter(row):
    close(row, covered_diameter_m(row.inputs["h_m"], row.inputs["ear_m"], row.inputs["angle_deg"]))


@each("acoustics", "level_edge_vs_axis_distance_only")
def test_the_edge_is_farther_than_the_middle(row):
    close(row, edge_level_db(row.inputs["angle_deg"]))


@settings(deadline=None, database=None, max_examples=60)
@given(
    length=st.floats(min_value=2, max_value=30),
    width=st.floats(min_value=2, max_value=30),
    diameter=st.floats(min_value=1, max_value=8),
)
def test_a_layout_with_minimum_overlap_leaves_no_gap(length, width, diameter):
    plan = layout_for(length_m=length, width_m=width, diameter_m=diameter, pattern="minimum_overlap")
    places = np.array(plan.positions_m)
    xs, ys = np.meshgrid(np.linspace(0, length, 23), np.linspace(0, width, 23))
    nearest = np.hypot(xs[..., None] - places[:, 0], ys[..., None] - places[:, 1]).min(axis=-1)
    assert nearest.max() <= diameter / 2 + 1e-9
    assert len(places) == plan.count == plan.along * plan.across


def test_denser_patterns_need_more_loudspeakers():
    counts = [
        layout_for(length_m=14.4, width_m=7.2, diameter_m=3.6, pattern=pattern).count
        for pattern in ("edge_to_edge", "minimum_overlap", "full_overlap")
    ]
    assert counts == [8, 18, 32]


def test_below_one_loudspeaker_the_map_is_the_plain_sum():
    one = CeilingLoudspeaker(x_m=1.0, y_m=1.0, height_m=3.2, level_1m_db=level_at(88.0, 4.0, 1.0), angle_deg=90.0)
    levels = level_map([one], length_m=2.0, width_m=2.0, ear_m=1.2, step_m=2.0)
    assert levels.shape == (1, 1)
    assert levels[0, 0] == pytest.approx(level_at(88.0, 4.0, 2.0))


def test_two_loudspeakers_add_as_energies():
    pair = [CeilingLoudspeaker(x_m=x, y_m=0.5, height_m=3.0, level_1m_db=80.0) for x in (0.0, 4.0)]
    middle = level_map(pair, length_m=4.0, width_m=1.0, ear_m=1.0, step_m=4.0)[0, 0]
    assert middle == pytest.approx(add_levels([80 - 10 * math.log10(8)] * 2))


def test_the_edge_of_the_angle_is_six_db_and_the_longer_path_down():
    height, angle = 3.0, 90.0
    radius = covered_diameter_m(height, 1.0, angle) / 2
    one = CeilingLoudspeaker(x_m=0.5, y_m=0.5, height_m=height, level_1m_db=90.0, angle_deg=angle)
    row = level_map([one], length_m=1 + 2 * radius, width_m=1.0, ear_m=1.0, step_m=1.0)[0]
    cells = np.linspace(0.5, 0.5 + 2 * radius, len(row))
    at_edge = int(np.argmin(np.abs(cells - 0.5 - radius)))
    assert cells[at_edge] == pytest.approx(0.5 + radius)
    assert row[at_edge] - row[0] == pytest.approx(-6 + edge_level_db(angle))


def test_more_overlap_is_more_even():
    spreads = []
    for pattern in ("edge_to_edge", "minimum_overlap", "full_overlap"):
        plan = layout_for(length_m=14.4, width_m=10.8, diameter_m=3.6, pattern=pattern)
        loudspeakers = [CeilingLoudspeaker(x, y, 3.0, 80.0, 90.0) for x, y in plan.positions_m]
        spreads.append(spread_of(level_map(loudspeakers, length_m=14.4, width_m=10.8, ear_m=1.2)).spread_db)
    assert spreads[0] > spreads[1] > spreads[2] > 0


def test_the_spread_of_known_levels():
    spread = spread_of(np.array([[62.1, 60.4], [58.9, 61.5], [59.8, 61.0]]))
    assert spread.spread_db == pytest.approx(3.2)
    assert (spread.lowest_db, spread.highest_db, spread.share_within_3_db) == (58.9, 62.1, 1.0)
    assert spread_of(np.array([60.0, 70.0])).share_within_3_db == 0.5


@pytest.mark.parametrize(
    "call",
    [
        lambda: covered_diameter_m(1.0, 1.2, 90.0),
        lambda: covered_diameter_m(3.0, 1.2, 180.0),
        lambda: covered_diameter_m(3.0, 1.2, math.nan),
        lambda: edge_level_db(5.0),
        lambda: layout_for(length_m=0.0, width_m=5.0, diameter_m=3.0),
        lambda: layout_for(length_m=5.0, width_m=5.0, diameter_m=0.1),
        lambda: layout_for(length_m=5.0, width_m=5.0, diameter_m=3.0, pattern="hexagonal"),
        lambda: level_map([], length_m=5.0, width_m=5.0),
        lambda: level_map([CeilingLoudspeaker(1, 1, 1.0, 80.0)], length_m=5.0, width_m=5.0),
        lambda: level_map([CeilingLoudspeaker(1, 1, 3.0, 80.0)], length_m=500.0, width_m=500.0, step_m=0.5),
        lambda: spread_of(np.array([])),
        lambda: spread_of(np.array([60.0, math.nan])),
    ],
)
def test_rooms_and_loudspeakers_without_meaning_are_refused(call):
    with pytest.raises(ValueError, match="allowed"):
        call()
