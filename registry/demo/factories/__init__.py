"""Factories of the register's rows, for the demo and for tests.

Names come from sequences over our own word lists, so that the same calls give the same rows; an amplifier or a
loudspeaker model comes with its ratings.
"""

from registry.demo.factories.audio import (
    CoilFactory,
    LineFactory,
    LoudspeakerFactory,
    ZoneFactory,
)
from registry.demo.factories.equipment import (
    AmplifierModelFactory,
    FilledPlaceFactory,
    ItemFactory,
    LoudspeakerModelFactory,
    LoudspeakerSpecFactory,
    MakeFactory,
    MakeModelFactory,
    PlaceFactory,
    PlacementFactory,
    RatingFactory,
)
from registry.demo.factories.facts import (
    BaselineFactory,
    ConfigurationRecordFactory,
    ReadingFactory,
    SettingFactory,
)
from registry.demo.factories.places import (
    ClientFactory,
    MembershipFactory,
    RackFactory,
    SiteFactory,
    SpaceFactory,
    UserFactory,
)

__all__ = [
    "AmplifierModelFactory",
    "BaselineFactory",
    "ClientFactory",
    "CoilFactory",
    "ConfigurationRecordFactory",
    "FilledPlaceFactory",
    "ItemFactory",
    "LineFactory",
    "LoudspeakerFactory",
    "LoudspeakerModelFactory",
    "LoudspeakerSpecFactory",
    "MakeFactory",
    "MakeModelFactory",
    "MembershipFactory",
    "PlaceFactory",
    "PlacementFactory",
    "RackFactory",
    "RatingFactory",
    "ReadingFactory",
    "SettingFactory",
    "SiteFactory",
    "SpaceFactory",
    "UserFactory",
    "ZoneFactory",
]
