"""A quantity's unit and range are declared once and held by the form and by the database."""

import math

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.forms import modelform_factory

from registry.demo.factories import SiteFactory, SpaceFactory
from sites.models import Space

SpaceForm = modelform_factory(Space, fields=["name", "ceiling_m"])


@pytest.mark.parametrize(("typed", "metres"), [("2.7", 2.7), ("9 ft", 2.7432), ("5 ft 6 in", 1.6764), ("", None)])
def test_a_form_reads_what_people_type(typed: str, metres: float | None) -> None:
    form = SpaceForm({"name": "Shop", "ceiling_m": typed})
    form.is_valid()
    assert form.cleaned_data["ceiling_m"] == (None if metres is None else pytest.approx(metres, rel=1e-12))


@pytest.mark.parametrize("typed", ["1,5 m", "-1", "0", "nan", "inf", "9**9**9", "3 kg", "101"])
def test_a_form_refuses_with_a_message_beside_the_field_and_keeps_what_was_typed(typed: str) -> None:
    form = SpaceForm({"name": "Shop", "ceiling_m": typed})
    assert "ceiling_m" in form.errors
    assert typed in str(form["ceiling_m"])


@pytest.mark.django_db
@pytest.mark.parametrize("value", [-1.0, 0.0, 101.0, math.inf])
def test_the_database_refuses_what_is_outside_the_range(value: float) -> None:
    space = SpaceFactory()
    with pytest.raises(IntegrityError), transaction.atomic():
        Space.objects.filter(pk=space.pk).update(ceiling_m=value)


@pytest.mark.django_db
def test_a_number_that_is_none_never_reaches_a_row() -> None:
    space = SpaceFactory(ceiling_m=3.0)
    # SQLite stores not-a-number as unknown, PostgreSQL refuses it by the upper end of the range.
    if connection.vendor == "postgresql":
        with pytest.raises(IntegrityError), transaction.atomic():
            Space.objects.filter(pk=space.pk).update(ceiling_m=math.nan)
    with pytest.raises(ValidationError):
        Space(site=SiteFactory(), name="X", ceiling_m=math.nan).full_clean()
