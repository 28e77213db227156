"""The level map: every value is written somewhere, loudspeakers stand at their places, shades have a legend."""

import math

import pytest

from registry.drawings.coverage_map import CoverageMap, MapLoudspeaker, draw_coverage_map
from tests.drawings.reading import by_class, by_tag, numbers, parsed, said, texts


def drawn(levels, *loudspeakers, length=8.0, width=4.0, **more):
    return parsed(draw_coverage_map(CoverageMap("Bar", length, width, levels, loudspeakers), **more))


def values(made):
    return [text for cell in by_class(made, "cell") for text in texts(cell)]


def test_every_value_is_written_in_its_cell_row_by_row():
    made = drawn([[70.4, 71.6, 80], [60, None, 55.2]])
    assert values(made) == ["70", "72", "80", "60", "?", "55"]


def test_the_room_is_to_scale():
    _, _, width, height = numbers(by_class(drawn([[70]], length=10, width=4), "room")[0], "x", "y", "width", "height")
    assert height / width == pytest.approx(0.4, abs=1e-4)


def test_a_long_room_does_not_become_endless():
    _, _, width, height = numbers(by_class(drawn([[70]], length=2, width=50), "room")[0], "x", "y", "width", "height")
    assert height == 640
    assert width == pytest.approx(640 * 2 / 50)


def test_loudspeakers_stand_at_their_places():
    made = drawn([[70] * 2] * 2, MapLoudspeaker("LS1", 2, 1), MapLoudspeaker("LS2", 6, 3))
    x, y, width, height = numbers(by_class(made, "room")[0], "x", "y", "width", "height")
    discs = [numbers(by_tag(each, "circle")[0], "cx", "cy") for each in by_class(made, "loudspeaker")]
    assert discs[0] == pytest.approx([x + width / 4, y + height / 4], abs=0.02)
    assert discs[1] == pytest.approx([x + width * 3 / 4, y + height * 3 / 4], abs=0.02)


def test_a_value_under_a_loudspeaker_is_in_the_key():
    made = drawn([[70, 73]], MapLoudspeaker("LS1", 6, 2))
    assert values(made) == ["70"]
    assert "LS1, 73 dB" in texts(made)


def test_a_fine_grid_is_joined_by_energy_mean_and_it_is_said():
    # 10 lg of the mean of 10^(L/10): 70 and 80 dB give 77.4 dB (energy mean, as in ISO 1996-1).
    assert 10 * math.log10((1e7 + 1e8) / 2) == pytest.approx(77.4, abs=0.01)
    made = drawn([[70, 80] * 8], length=16, width=2)
    assert set(values(made)) == {"77"}
    assert len(values(made)) == 8
    assert "each number stands for 2 by 1 points" in " ".join(texts(made))


def test_unknown_points_do_not_pull_a_joined_value_down():
    assert values(drawn([[70, None] * 8], length=16, width=2)) == ["70"] * 8


def test_shades_are_named_in_decibels_and_the_loudest_is_the_darkest():
    made = drawn([[80, 78.5, 75, 71, 60]], length=10, width=2)
    names = [texts(shade) for shade in by_class(made, "shade")]
    assert names == [["77 to 80 dB"], ["74 to 77 dB"], ["68 to 71 dB"], ["68 dB or less"]]
    shades = [float(rect.get("fill-opacity")) for cell in by_class(made, "cell") for rect in by_tag(cell, "rect")]
    assert shades == sorted(shades, reverse=True)


def test_thirty_loudspeakers_have_thirty_different_letters():
    speakers = [MapLoudspeaker(f"LS{at}", at / 4, 1) for at in range(30)]
    made = drawn([[70]], *speakers)
    letters = [texts(each)[0] for each in by_class(made, "loudspeaker")]
    assert len(set(letters)) == 30
    assert letters[25:28] == ["Z", "AA", "AB"]


def test_a_room_of_which_nothing_is_known_says_so():
    assert said(drawn([[None]])) == "8 m by 4 m, levels not known."


@pytest.mark.parametrize(
    ("levels", "size"),
    [([], (8, 4)), ([[]], (8, 4)), ([[70], [70, 71]], (8, 4)), ([[math.inf]], (8, 4)), ([[70]], (0, 4))],
)
def test_a_grid_that_is_none_is_refused(levels, size):
    with pytest.raises(ValueError, match=r"levels_db|finite|longer and wider"):
        drawn(levels, length=size[0], width=size[1])
