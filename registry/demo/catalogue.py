"""What the further clients are equipped with: models that the garden centre's survey brought, and American ones."""

from decimal import Decimal
from typing import NamedTuple

from registry.demo.factories import AmplifierModelFactory, LoudspeakerModelFactory, MakeFactory, MakeModelFactory
from registry.equipment.models import Kind, MakeModel


class Catalogue(NamedTuple):
    """One model of each kind."""

    amplifier: MakeModel
    loudspeaker: MakeModel
    switch: MakeModel
    ups: MakeModel


def european() -> Catalogue:
    """Return models that stand in the register already."""
    known = {str(model): model for model in MakeModel.objects.select_related("make")}
    return Catalogue(*(known[name] for name in ("Make A NA-2", "Make C CL-8", "Make F SW-8P", "Make G UP-1500")))


def american() -> Catalogue:
    """Make models for 70.7 V lines, priced in dollars."""
    make = MakeFactory.create(name="Make H")
    spec = {"spec__taps_w": [20.0, 10.0, 5.0, 2.5], "spec__power_w": 20.0, "spec__insertion_loss_db": 0.9}
    return Catalogue(
        amplifier=AmplifierModelFactory.create(make=make, name="HA-2", price=Decimal("720.00"), currency="USD"),
        loudspeaker=LoudspeakerModelFactory.create(
            make=make, name="HC-70", price=Decimal("95.00"), currency="USD", **spec
        ),
        switch=_model("HS-8", Kind.SWITCH, units=1, watts=80.0, price="310.00"),
        ups=_model("HU-1000", Kind.UPS, units=2, watts=40.0, price="540.00"),
    )


def _model(name: str, kind: Kind, *, units: int, watts: float, price: str) -> MakeModel:
    make = MakeFactory.create(name="Make H")
    return MakeModelFactory.create(
        make=make, name=name, kind=kind, rack_units=units, max_w=watts, price=Decimal(price), currency="USD"
    )
