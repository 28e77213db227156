"""A fold plan drawn: every zone and channel with its figure, a wire from each zone to each of its channels."""

from itertools import pairwise

import pytest

from registry.drawings.fold_picture import FoldBoxMark, FoldChannelMark, FoldPicture, FoldZoneMark, draw_fold_picture
from tests.drawings.reading import all_words, by_class, by_tag, numbers, parsed, said

BAR = FoldZoneMark("Bar", "2 × 8 Ω", "+0.5 dB of ±2 dB", "pass", ((0, 0),))
STACKS = FoldZoneMark("Stacks", "6 × 8 Ω", "−1.5 dB of ±2 dB", "warn", ((0, 1), (1, 0)))
FIRST = FoldBoxMark(
    "Amplifier 1",
    "Make A NA-2, new",
    (FoldChannelMark("channel 1", "4 Ω", "warn"), FoldChannelMark("channel 2", "5.33 Ω", "pass")),
)
SECOND = FoldBoxMark("Amplifier 2", "Make A NA-2, new", (FoldChannelMark("channel 1", "nothing connected"),))
PICTURE = FoldPicture("Bar and Stacks on 2 amplifiers", (BAR, STACKS), (FIRST, SECOND))


@pytest.mark.parametrize("width", [360, 720])
def test_every_name_and_figure_is_written(width: int) -> None:
    words = all_words(parsed(draw_fold_picture(PICTURE, width=width)))
    for expected in (
        "Bar",
        "2 × 8 Ω",
        "+0.5 dB",
        "Stacks",
        "−1.5 dB",
        "Amplifier 1",
        "channel 2",
        "5.33 Ω",
        "nothing connected",
    ):
        assert expected in words


@pytest.mark.parametrize("width", [360, 720])
def test_a_wire_runs_from_each_zone_to_the_middle_of_each_of_its_channels(width: int) -> None:
    made = parsed(draw_fold_picture(PICTURE, width=width))
    (wires,) = by_class(made, "wires")
    zones = {
        node.get("data-zone"): numbers(by_tag(node, "rect")[0], "x", "y", "width", "height")
        for node in by_class(made, "mark")
    }
    channels = [numbers(by_tag(node, "rect")[0], "x", "y", "width", "height") for node in by_class(made, "cell")]
    expected = [("Bar", 0), ("Stacks", 1), ("Stacks", 2)]
    assert len(by_tag(wires, "line")) == len(expected)
    for wire, (zone, channel) in zip(by_tag(wires, "line"), expected, strict=True):
        x1, y1, x2, y2 = numbers(wire, "x1", "y1", "x2", "y2")
        zx, zy, zw, zh = zones[zone]
        assert (x1, y1) == pytest.approx((zx + zw, zy + zh / 2), abs=0.02)
        cx, cy, _, ch = channels[channel]
        assert x2 == pytest.approx(cx, abs=0.02)
        assert cy < y2 < cy + ch + 4


@pytest.mark.parametrize("width", [360, 720])
def test_boxes_do_not_overlap(width: int) -> None:
    made = parsed(draw_fold_picture(PICTURE, width=width))
    for name in ("mark", "cell"):
        boxes = [numbers(by_tag(node, "rect")[0], "y", "height") for node in by_class(made, name)]
        for (y, height), (after, _) in pairwise(boxes):
            assert y + height <= after


def test_a_verdict_is_a_shape() -> None:
    made = parsed(draw_fold_picture(PICTURE))
    assert [node.get("data-verdict") for node in by_class(made, "verdict")] == ["warn", "pass", "pass", "warn"]


def test_a_screen_reader_hears_zone_by_zone_then_amplifier_by_amplifier() -> None:
    assert said(parsed(draw_fold_picture(PICTURE))) == (
        "Bar, 2 × 8 Ω: +0.5 dB of ±2 dB, to Amplifier 1 channel 1. "
        "Stacks, 6 × 8 Ω: −1.5 dB of ±2 dB, to Amplifier 1 channel 2 and Amplifier 2 channel 1. "
        "Amplifier 1, Make A NA-2, new; channel 1: 4 Ω; channel 2: 5.33 Ω. "
        "Amplifier 2, Make A NA-2, new; channel 1: nothing connected."
    )


def test_a_wire_to_nowhere_and_a_width_out_of_range_are_refused() -> None:
    lost = FoldPicture("Lost", (FoldZoneMark("Bar", "", "", "pass", ((0, 5),)),), (SECOND,))
    with pytest.raises(ValueError, match="no amplifier of the picture has"):
        draw_fold_picture(lost)
    with pytest.raises(ValueError, match="width must be 340 to 1400"):
        draw_fold_picture(PICTURE, width=300)
