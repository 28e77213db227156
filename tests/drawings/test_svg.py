"""The elements every drawing is made of."""

import pytest

from registry.drawings.svg import circle, finish, group, path, rect, root, shape, text
from tests.drawings.reading import by_tag, parsed


def bare(**changes):
    return root(**{"kind": "strip", "title": "Bar", "description": "72 dB", "size": (360, 64), **changes})


def test_labels_and_data_are_escaped_and_come_back_as_they_were():
    svg = bare()
    made = group(svg, "item", says='A "quoted" <title>', data={"label": "a\x00 & b <c>"})
    text(made, "R & D <b>\x07", at=(8, 20))
    read = parsed(finish(svg))
    assert by_tag(read, "g")[0].get("data-label") == "a & b <c>"
    assert by_tag(read, "title")[1].text == 'A "quoted" <title>'
    assert by_tag(read, "text")[0].text == "R & D <b>"


@pytest.mark.parametrize("href", ["/items/7/", "#spot", "?page=2", "https://intranet.example/rack?a=1&b=2"])
def test_a_link_may_lead_within_the_site_or_to_the_web(href):
    svg = bare()
    group(svg, href=href)
    assert by_tag(parsed(finish(svg)), "a")[0].get("href") == href


@pytest.mark.parametrize(
    "href",
    [
        "javascript:alert(1)",
        " javascript:alert(1)",
        "data:text/html,x",
        "//other.example/",
        "/\\other.example",
        "items",
    ],
)
def test_a_link_with_another_scheme_is_refused(href):
    with pytest.raises(ValueError, match="A link must begin with"):
        group(bare(), href=href)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"title": " \x00 "}, "needs a title"),
        ({"size": (0, 64)}, "above 0"),
        ({"size": (360, float("nan"))}, "above 0"),
        ({"ident": "7up"}, "beginning with a letter"),
        ({"ident": 'x" onload="'}, "beginning with a letter"),
    ],
)
def test_a_drawing_without_name_or_size_is_refused(changes, says):
    with pytest.raises(ValueError, match=says):
        bare(**changes)


def test_the_same_words_give_the_same_ids_and_other_words_give_others():
    assert finish(bare()) == finish(bare())
    assert bare().get("aria-labelledby") != bare(description="73 dB").get("aria-labelledby")
    assert bare(ident="zone-7").get("aria-labelledby") == "zone-7-title zone-7-desc"


@pytest.mark.parametrize(
    ("draw", "says"),
    [
        (lambda svg: text(svg, "small", at=(0, 0), size=11), "12.5 or more"),
        (lambda svg: text(svg, "left", at=(0, 0), anchor="left"), "start, middle or end"),
        (lambda svg: text(svg, "where", at=(float("nan"), 0)), "finite"),
        (lambda svg: rect(svg, "paper", corner=(0, 0), size=(-1, 4)), "smaller than 0"),
        (lambda svg: circle(svg, "ink", centre=(0, 0), radius=0), "above 0"),
        (lambda svg: shape(svg, "ink", points=[(0, 0)]), "two points"),
        (lambda svg: path(svg, "wire", commands="url(#x)"), "begin with M"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_the_reason(draw, says):
    with pytest.raises(ValueError, match=says):
        draw(bare())
