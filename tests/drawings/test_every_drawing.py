"""What holds for every drawing: it parses, names itself, cannot run anything, can be read on a phone."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from registry import drawings
from registry.drawings.lettering import text_width
from registry.drawings.svg import PHONE_WIDTH
from tests.drawings.reading import Node, by_tag, parsed, tag, texts
from tests.drawings.samples import HOSTILE, SAMPLES, WRITTEN

STYLES = Path(drawings.__file__).parent.parent / "web" / "static" / "drawings.css"
ALLOWED_TAGS = {"svg", "title", "desc", "g", "a", "line", "rect", "circle", "polygon", "polyline", "path", "text"}
# Names that sort elements for tests, scripts and readers, and are not drawn differently.
SORTING_ONLY = set(
    re.findall(
        "[a-z-]+",
        """amplifier axes band bar baseline cap caution cell cells coil default-position frame glyph item junction
        listed loudspeaker mark notch off-scale panel parallel reach reading resistor room scale series shade string
        taper tolerance transformer verdict whisker whisker-end wires work""",
    )
)


@pytest.fixture(params=SAMPLES, name="drawing")
def every_drawing(request: pytest.FixtureRequest) -> Node:
    return parsed(SAMPLES[request.param])


def test_it_names_and_describes_itself_for_screen_readers(drawing):
    # WAI-ARIA 1.2: role img takes its name from the elements that aria-labelledby lists.
    title, desc = list(drawing)[:2]
    assert drawing.get("role") == "img"
    assert drawing.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert (tag(title), title.text) == ("title", WRITTEN)
    assert tag(desc) == "desc"
    assert desc.text


def test_nothing_in_it_runs_or_needs_inline_style(drawing):
    assert {tag(node) for node in drawing.iter()} <= ALLOWED_TAGS
    for node in drawing.iter():
        assert not [name for name in node.attrib if name == "style" or name.lower().startswith("on")]
        assert not node.get("href", "/").lower().startswith(("javascript", "data"))


def test_it_scales_and_nothing_is_drawn_outside_of_its_view(drawing):
    left, top, width, height = (float(part) for part in drawing.get("viewBox").split())
    assert (left, top) == (0, 0)
    assert (float(drawing.get("width")), float(drawing.get("height"))) == (width, height)
    for node in by_tag(drawing, "text"):
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[node.get("text-anchor")] * text_width(node.text)
        assert float(node.get("x")) - before >= -2
        assert float(node.get("x")) - before + text_width(node.text) <= width + 2
        assert 10 <= float(node.get("y")) <= height
    for node in by_tag(drawing, "rect"):
        x, y, w, h = (float(node.get(name)) for name in ("x", "y", "width", "height"))
        assert 0 <= x <= x + w <= width
        assert 0 <= y <= y + h <= height


def test_its_letters_are_12_pixels_or_more_between_the_margins_of_a_390_pixel_screen(drawing):
    width = float(drawing.get("viewBox").split()[2])
    if width == PHONE_WIDTH:  # the wide ones are for a desk and for paper
        pixels = (390 - 2 * 16) / width
        assert all(float(node.get("font-size")) * pixels >= 12 for node in by_tag(drawing, "text"))


def test_a_hostile_label_is_written_as_it_is_without_its_nul(drawing):
    svg = "".join(drawing.itertext())
    assert "\x00" not in svg
    assert drawing.findtext("{http://www.w3.org/2000/svg}title") == WRITTEN


def test_every_class_is_known_to_the_stylesheet_or_only_sorts(drawing):
    styled = set(re.findall(r"\.drawing \.([a-z-]+)", STYLES.read_text()))
    used = {name for node in drawing.iter() if node is not drawing for name in node.get("class", "").split()}
    assert used <= styled | SORTING_ONLY


def test_lines_and_hollow_shapes_have_colours_without_a_stylesheet(drawing):
    for node in drawing.iter():
        if tag(node) in ("line", "rect", "circle", "polygon", "polyline", "path", "text"):
            assert "currentColor" in (node.get("fill"), node.get("stroke"))


def test_no_class_of_the_stylesheet_is_left_over():
    styled = set(re.findall(r"\.drawing \.([a-z-]+)", STYLES.read_text()))
    used = {name for svg in SAMPLES.values() for node in parsed(svg).iter() for name in node.get("class", "").split()}
    assert styled <= used


def test_the_stylesheet_knows_light_dark_print_and_forced_colours():
    css = STYLES.read_text()
    for rule in ("prefers-color-scheme: dark", "media print", "forced-colors: active"):
        assert rule in css
    for name in ("paper", "ink", "accent", "muted", "band", "hairline"):
        assert len(re.findall(rf"var\(--{name}, #[0-9a-f]{{6}}\)", css)) == 2  # light, dark


def test_ids_differ_between_all_drawings_also_between_two_widths_of_one():
    ids = [node.get("id") for svg in SAMPLES.values() for node in parsed(svg).iter() if node.get("id")]
    assert len(ids) == 2 * len(SAMPLES)
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize(
    "name",
    [
        "low impedance",
        "low impedance, wide",
        "constant voltage",
        "constant voltage, wide",
        "rack",
        "bars",
        "map",
        "fold",
        "terminals",
    ],
)
def test_a_hostile_label_is_seen_in_the_picture(name):
    # A long label is cut into lines, so the spaces are left out of the comparison.
    assert WRITTEN.replace(" ", "") in "".join(texts(parsed(SAMPLES[name]))).replace(" ", "")


def test_the_hostile_label_really_is_hostile():
    assert "\x00" in HOSTILE
    with pytest.raises(ElementTree.ParseError, match="not well-formed"):
        parsed(f"<svg>{HOSTILE}</svg>")
