"""Makes and models: the catalogue, with ratings of amplifiers and data of loudspeakers."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.exceptions import PermissionDenied

from registry.api.fields import Number, Text
from registry.api.filters import TextFilter
from registry.api.rows import Row
from registry.api.views import Added, Changed
from registry.audio.following import save_model
from registry.equipment.models import Kind, LoudspeakerSpec, MakeModel, Rating
from registry.equipment.queries import models_visible_to
from sites.models import User
from sites.put import refuse
from sites.versions import version_of

RATING = ("channels", "load_ohm", "line_v", "power_w", "min_load_ohm")
LOUDSPEAKER = (
    "impedance_ohm", "min_impedance_ohm", "power_w", "sensitivity_db", "coverage_deg", "coils", "taps_w",
    "insertion_loss_db",
)  # fmt: skip


class MakeName(Text):
    """The maker's name; a new one is added to the list of makes."""

    def get_attribute(self, instance: MakeModel) -> str:
        """Return the name."""
        return instance.make.name


class RatingRow(Row):
    """One rated load (`load_ohm`), or one line voltage (`line_v`), of an amplifier: one of the two."""

    class Meta:
        """All but the model."""

        model = Rating
        fields = RATING

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """A row rates one load or one line voltage."""
        if (attrs.get("load_ohm") is None) == (attrs.get("line_v") is None):
            raise refuse("rating", (), "ratings", "give load_ohm or line_v: one of the two in each row")
        return dict.fromkeys(RATING) | attrs


class LoudspeakerSpecRow(Row):
    """What the maker says of a loudspeaker."""

    taps_w = serializers.ListField(
        child=Number(quantity=LoudspeakerSpec._meta.get_field("power_w")),
        required=False, max_length=30, help_text="The transformer's taps, in W.",
    )  # fmt: skip

    class Meta:
        """All but the model."""

        model = LoudspeakerSpec
        fields = LOUDSPEAKER


class ModelRow(Row):
    """What a maker sells."""

    make = MakeName(max_length=80)
    ratings = RatingRow(many=True, required=False)
    loudspeaker = LoudspeakerSpecRow(required=False, allow_null=True)

    class Meta:
        """Everything."""

        model = MakeModel
        fields = (
            "id", "make", "name", "kind", "rack_units", "weight_kg", "idle_w", "max_w", "poe_w", "life_years",
            "support_until", "price", "currency", "ratings", "loudspeaker",
        )  # fmt: skip

    def values(self) -> dict[str, Any]:
        """Return the row with its parts; ratings that aren't sent stay."""
        values = super().values()
        if self.instance is not None:
            values["make"] = self.validated_data.get("make", self.instance.make.name)
            rated = [{name: getattr(each, name) for name in RATING} for each in self.instance.ratings.all()]
            values.setdefault("ratings", rated)
        _refuse_halves(values)
        return values


def _refuse_halves(values: dict[str, Any]) -> None:
    if values.get("price") is not None and not values.get("currency"):
        raise refuse("model", (values["name"],), "currency", "say in which currency the price is, for example EUR")
    if values.get("loudspeaker") and values["kind"] != Kind.LOUDSPEAKER:
        raise refuse("model", (values["name"],), "loudspeaker", "only a loudspeaker has these: leave it out")


class ModelFilter(django_filters.FilterSet):
    """By kind and make."""

    kind = django_filters.ChoiceFilter(choices=Kind.choices)
    make = TextFilter("make__name", label="The maker's exact name.")


class Models(Added, Changed):
    """Models: what makers sell. Owners see those at their own sites."""

    serializer_class = ModelRow
    filterset_class = ModelFilter
    search_fields = ("make__name", "name")
    orders = ("name", "id")

    def rows(self, user: User) -> QuerySet[MakeModel]:
        """Return the models that the reader may know of."""
        return models_visible_to(user).select_related("loudspeaker").prefetch_related("ratings")

    def add(self, by: User, values: dict[str, Any]) -> MakeModel:
        """Record a model."""
        return _save(by, None, values)

    def change(self, by: User, row: MakeModel, values: dict[str, Any]) -> MakeModel:
        """Change a model; lines with it are judged anew."""
        return _save(by, row, values)


def _save(by: User, model: MakeModel | None, values: dict[str, Any]) -> MakeModel:
    if not by.sees_every_client:
        raise PermissionDenied("The catalogue belongs to all clients; this token is limited to some of them.")
    ratings, loudspeaker = values.pop("ratings", ()), values.pop("loudspeaker", None)
    version = version_of(model) if model else None
    return save_model(by=by, model=model, values=values, ratings=ratings, loudspeaker=loudspeaker, version=version)
