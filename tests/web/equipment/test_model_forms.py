"""The catalogue: recording what makers say, and judging the lines that depend on it anew."""

from typing import Any

from django.test import Client as Browser
from django.urls import reverse

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line
from registry.demo.factories import (
    AmplifierModelFactory,
    CoilFactory,
    ItemFactory,
    LineFactory,
    LoudspeakerModelFactory,
    MakeModelFactory,
    RatingFactory,
)
from registry.equipment.models import MakeModel, Rating
from sites.models import Site
from tests.web.pages import text_of


def typed(*ratings: tuple[str, str, str], loudspeaker: dict[str, str] | None = None, **model: str) -> dict[str, Any]:
    """Return the form of a model as a browser sends it; ratings are (load, line voltage, power)."""
    form = {"make": "Make Q", "name": "Q-1", "kind": "amplifier", "price": "", "currency": ""} | model
    form |= {"rating-TOTAL_FORMS": str(len(ratings)), "rating-INITIAL_FORMS": str(len(ratings))}
    for number, (load, line, power) in enumerate(ratings):
        row = {"load_ohm": load, "line_v": line, "power_w": power, "min_load_ohm": "", "channels": ""}
        form |= {f"rating-{number}-{name}": value for name, value in row.items()}
    return form | {f"loudspeaker-{name}": value for name, value in (loudspeaker or {}).items()}


def test_an_amplifier_is_recorded_with_its_ratings(browser: Browser) -> None:
    response = browser.post(reverse("model-new"), typed(("8", "", "40 W"), ("", "100", "120"), ("", "", "")))
    model = MakeModel.objects.get()
    assert response.headers["Location"] == reverse("model", args=[model.pk])
    assert str(model) == "Make Q Q-1"
    assert sorted(str(rating) for rating in model.ratings.all()) == ["120 W into 100 V line", "40 W into 8 Ω"]
    assert "40\u00a0W" in browser.get(reverse("model", args=[model.pk])).content.decode()


def test_a_rating_that_is_emptied_goes_and_another_is_changed(browser: Browser) -> None:
    model = MakeModelFactory(make__name="Make Q", name="Q-1")
    RatingFactory(make_model=model, load_ohm=8.0, power_w=40.0)
    RatingFactory(make_model=model, load_ohm=4.0, power_w=70.0)
    browser.post(reverse("model-edit", args=[model.pk]), typed(("", "", ""), ("4", "", "75")))
    assert [(rating.load_ohm, rating.power_w) for rating in Rating.objects.all()] == [(4.0, 75.0)]
    assert Rating.history.filter(history_type="-").count() == 1


def test_a_row_rates_a_load_or_a_line_and_each_once(browser: Browser) -> None:
    for ratings, says in (
        ([("8", "100", "40")], "give a load in ohm or a line voltage: one of the two in each row"),
        ([("", "", "40")], "give a load in ohm or a line voltage: one of the two in each row"),
        ([("8", "", "40"), ("8", "", "50")], "each load and each line voltage is rated once"),
        ([("8,5", "", "40")], "use a point, not a comma"),
        ([("-8", "", "40")], "outside the allowed range"),
    ):
        response = browser.post(reverse("model-new"), typed(*ratings))
        assert response.status_code == 422
        assert says in text_of(response)
    assert not MakeModel.objects.exists()


def test_a_loudspeaker_keeps_its_taps_in_order(browser: Browser) -> None:
    spec = {"impedance_ohm": "8", "taps_w": "2.5, 10,5", "coils": "1"}
    browser.post(reverse("model-new"), typed(kind="loudspeaker", loudspeaker=spec))
    model = MakeModel.objects.get()
    assert (model.loudspeaker.impedance_ohm, model.loudspeaker.taps_w) == (8.0, [10.0, 5.0, 2.5])
    assert 'value="10, 5, 2.5"' in browser.get(reverse("model-edit", args=[model.pk])).content.decode()


def test_taps_that_make_no_sense_are_refused_and_stay(browser: Browser) -> None:
    for taps in ("10 W, loud", "0", "-5"):
        spec = {"taps_w": taps}
        response = browser.post(reverse("model-new"), typed(kind="loudspeaker", loudspeaker=spec))
        assert list(response.context["loudspeaker"].errors) == ["taps_w"]
        assert f'value="{taps}"' in response.content.decode()


def test_a_price_needs_its_currency(browser: Browser) -> None:
    response = browser.post(reverse("model-new"), typed(price="640"))
    assert list(response.context["form"].errors) == ["currency"]


def test_a_name_that_its_make_has_already_is_refused(browser: Browser) -> None:
    MakeModelFactory(make__name="Make Q", name="Q-1")
    response = browser.post(reverse("model-new"), typed())
    assert list(response.context["form"].errors) == ["name"]
    assert browser.post(reverse("model-new"), typed(make="Make R")).status_code == 302


def test_lines_are_judged_anew_when_a_rating_or_an_impedance_changes(browser: Browser, site: Site) -> None:
    # Two times 8 Ω in parallel is 4 Ω. An amplifier for 8 Ω and more may not drive it; two times 16 Ω it may.
    unit, amplifier = LoudspeakerModelFactory(), AmplifierModelFactory()
    line = LineFactory(site=site, amplifier__filling__item__make_model=amplifier)
    for _ in range(2):
        CoilFactory(line=line, loudspeaker__make_model=unit, cable="", cable_m=0.0)
    refresh_verdicts(Line.objects.all())
    first = Line.objects.get().verdict
    browser.post(reverse("model-edit", args=[amplifier.pk]), typed(("8", "", "40"), name=amplifier.name))
    second = Line.objects.get().verdict
    spec = {"impedance_ohm": "16", "power_w": "40", "coils": "1"}
    form = typed(kind="loudspeaker", name=unit.name, loudspeaker=spec)
    browser.post(reverse("model-edit", args=[unit.pk]), form)
    third = Line.objects.get().verdict
    assert (first != "fail", second, third != "fail") == (True, "fail", True)


def test_a_corrected_make_follows_to_the_items(browser: Browser, site: Site) -> None:
    item = ItemFactory(site=site, make_model=MakeModelFactory(make__name="Make P", name="Q-1"), serial="X1")
    browser.post(reverse("model-edit", args=[item.make_model_id]), typed())
    item.refresh_from_db()
    assert (item.make.name, item.make_model.make.name, item.serial) == ("Make Q", "Make Q", "X1")
