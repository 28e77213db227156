"""The catalogue, places, items, and the settings that were read from them."""

from registry.equipment.models.catalogue import Kind, LoudspeakerSpec, Make, MakeModel, Rating
from registry.equipment.models.places import Face, Item, OccupiedUnit, Place, Placement, Status
from registry.equipment.models.records import ConfigurationRecord, Setting, State

__all__ = [
    "ConfigurationRecord",
    "Face",
    "Item",
    "Kind",
    "LoudspeakerSpec",
    "Make",
    "MakeModel",
    "OccupiedUnit",
    "Place",
    "Placement",
    "Rating",
    "Setting",
    "State",
    "Status",
]
