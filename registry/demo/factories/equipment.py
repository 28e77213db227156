"""Factories of the catalogue, of places and of the items that fill them."""

from datetime import date
from decimal import Decimal

from factory.declarations import LazyAttribute, RelatedFactory, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from registry.demo.factories.places import SiteFactory
from registry.equipment.models import Item, Kind, LoudspeakerSpec, Make, MakeModel, Place, Placement, Rating

MAKES = "ABCDEFGH"


class MakeFactory(DjangoModelFactory[Make]):
    """Make A to Make H, each made once."""

    class Meta:
        """Table; a make that is there already is taken."""

        model = Make
        django_get_or_create = ("name",)

    name = Sequence(lambda n: f"Make {MAKES[n % len(MAKES)]}")


class MakeModelFactory(DjangoModelFactory[MakeModel]):
    """A catalogue entry; an amplifier unless `kind=` says otherwise."""

    class Meta:
        """Table."""

        model = MakeModel
        skip_postgeneration_save = True

    make = SubFactory(MakeFactory)
    name = Sequence(lambda n: f"M-{n + 1}")
    kind = Kind.AMPLIFIER
    rack_units: int | None = 1
    weight_kg = 4.0
    idle_w: float | None = 15.0
    max_w: float | None = 250.0
    life_years = 10.0
    price = Decimal("480.00")
    currency = "GBP"


class RatingFactory(DjangoModelFactory[Rating]):
    """70 W into 4 Ω, the lowest load allowed; for a constant-voltage row give `load_ohm=None, line_v=…`."""

    class Meta:
        """Table."""

        model = Rating

    make_model = SubFactory(MakeModelFactory)
    channels = 2
    load_ohm = 4.0
    power_w = 70.0
    min_load_ohm = LazyAttribute(lambda rating: None if rating.load_ohm is None else 4.0)


class AmplifierModelFactory(MakeModelFactory):
    """A two-channel amplifier: 40 W into 8 Ω, 70 W into 4 Ω, no less; 120 W on a 70.7 V or 100 V line."""

    name = Sequence(lambda n: f"NA-{n + 1}")
    eight = RelatedFactory(RatingFactory, "make_model", load_ohm=8.0, power_w=40.0)
    four = RelatedFactory(RatingFactory, "make_model")
    line_70 = RelatedFactory(RatingFactory, "make_model", load_ohm=None, line_v=70.7, power_w=120.0)
    line_100 = RelatedFactory(RatingFactory, "make_model", load_ohm=None, line_v=100.0, power_w=120.0)


class LoudspeakerSpecFactory(DjangoModelFactory[LoudspeakerSpec]):
    """One coil of 8 Ω, without transformer."""

    class Meta:
        """Table."""

        model = LoudspeakerSpec

    make_model = SubFactory(MakeModelFactory, kind=Kind.LOUDSPEAKER, rack_units=None)
    impedance_ohm = 8.0
    power_w = 40.0
    sensitivity_db = 89.0
    coverage_deg = 100.0
    coils = 1


class LoudspeakerModelFactory(MakeModelFactory):
    """A ceiling loudspeaker of 8 Ω; `spec__…=` changes what its maker says of it."""

    name = Sequence(lambda n: f"CL-{n + 1}")
    kind = Kind.LOUDSPEAKER
    rack_units = None
    weight_kg = 2.0
    idle_w = None
    max_w = None
    life_years = 15.0
    price = Decimal("85.00")
    spec = RelatedFactory(LoudspeakerSpecFactory, "make_model")


class PlaceFactory(DjangoModelFactory[Place]):
    """A place without a rack; give `rack=` and `position_u=` together."""

    class Meta:
        """Table."""

        model = Place
        skip_postgeneration_save = True

    site = SubFactory(SiteFactory)
    name = Sequence(lambda n: f"Amplifier {n + 1}")


class ItemFactory(DjangoModelFactory[Item]):
    """An amplifier in service."""

    class Meta:
        """Table."""

        model = Item

    site = SubFactory(SiteFactory)
    make_model = SubFactory(AmplifierModelFactory)
    make = SelfAttribute("make_model.make")
    tag = Sequence(lambda n: f"AV-{n + 1:04d}")
    serial = Sequence(lambda n: f"S{n + 1:06d}")


class PlacementFactory(DjangoModelFactory[Placement]):
    """An item filling a place of the same site; `item__make_model=` chooses the model."""

    class Meta:
        """Table."""

        model = Placement

    place = SubFactory(PlaceFactory)
    item = SubFactory(ItemFactory, site=SelfAttribute("..place.site"))
    installed_on = date(2024, 3, 4)


class FilledPlaceFactory(PlaceFactory):
    """A place that an amplifier fills: ready to carry lines. `filling__item__make_model=` chooses the model."""

    filling = RelatedFactory(PlacementFactory, "place")
