"""What the tags and filters of every template show."""

from datetime import UTC, date, datetime

import pytest

from registry.web.cautions import CAUTIONS
from registry.web.navigation import EQUIPMENT, MAIN, Entry, links
from registry.web.templatetags.evenkeel import caution, day, drift, known, local, local_day, quantity, verdict
from sites.models import Site

CHICAGO = Site(name="Mill", time_zone="America/Chicago", units="us")
LONDON = Site(name="Mill", time_zone="Europe/London", units="metric")


def test_quantities_follow_the_site_and_unknown_is_a_word() -> None:
    assert quantity(2.5, "m", LONDON) == "2.5\u00a0m"
    assert quantity(2.5, "m", CHICAGO) == "8.2\u00a0ft"
    assert quantity(0.0, "kg") == "0\u00a0kg"
    assert quantity(None, "kg", CHICAGO) == "not known"


def test_a_time_is_shown_as_the_clock_on_the_sites_wall_showed_it() -> None:
    taken_at = datetime(2026, 3, 12, 2, 30, tzinfo=UTC)
    assert local(taken_at, CHICAGO) == '<time datetime="2026-03-11T21:30:00-05:00">11 Mar 2026 21:30</time>'
    assert local_day(taken_at, CHICAGO) == "11 Mar 2026"
    assert local_day(taken_at, LONDON) == "12 Mar 2026"
    assert local(None, LONDON) == "not known"


def test_a_day_that_nobody_knows_is_not_known() -> None:
    assert day(date(2026, 3, 2)) == "2 Mar 2026"
    assert day(None) == "not known"


def test_zero_is_known_and_nothing_is_not() -> None:
    assert [known(value) for value in (0, 0.0, False, "", None)] == [0, 0.0, False, "not known", "not known"]


@pytest.mark.parametrize(
    ("value", "word"), [("pass", "Pass"), ("warn", "Warning"), ("fail", "Fail"), ("unknown", "Unknown")]
)
def test_a_verdict_is_a_shape_and_a_word(value: str, word: str) -> None:
    shown = verdict(value)
    assert shown.endswith(f"{word}</span>")
    assert f'data-verdict="{value}"' in shown
    assert 'aria-hidden="true"' in shown


@pytest.mark.parametrize(
    ("value", "word"),
    [
        ("within", "Within tolerance"),
        ("out", "Out of tolerance"),
        ("undecided", "Undecided"),
        ("not measured", "Not measured"),
        ("no baseline", "No baseline"),
    ],
)
def test_a_drift_is_a_sign_and_a_word(value: str, word: str) -> None:
    shown = drift(value)
    assert shown.endswith(f"{word}</span>")
    assert f'data-word="{value}"' in shown


@pytest.mark.parametrize("name", CAUTIONS)
def test_a_caution_is_one_line_that_says_so(name: str) -> None:
    shown = caution(name)
    assert shown.startswith('<p class="caution"><strong>Caution.</strong> ')
    assert "\n" not in shown
    assert len(CAUTIONS[name]) <= 200


def test_only_words_whose_pages_exist_are_offered() -> None:
    nowhere = Entry("Nowhere", "no-such-page", ())
    assert [link.word for link in links((*MAIN[:3], nowhere), "/")] == ["Today", "Clients", "Equipment"]


@pytest.mark.parametrize(
    ("path", "word"),
    [("/", "Today"), ("/sites/mill/edit/", "Clients"), ("/racks/3/", "Clients"), ("/items/7/", "Equipment")],
)
def test_the_word_that_a_page_belongs_to_is_marked(path: str, word: str) -> None:
    assert [link.word for link in links(MAIN, path) if link.current] == [word]


def test_the_catalogue_belongs_to_models() -> None:
    assert [link.word for link in links(EQUIPMENT, "/models/4/") if link.current] == ["Models"]
