"""The catalogue, places, items, and the settings that were read from them."""

from registry.equipment.models.catalogue import Kind, LoudspeakerSpec, Make, MakeModel, Rating
from registry.equipment.models.documents import Document, DocumentKind, SecretReference, Withdrawal
from registry.equipment.models.places import Face, Item, OccupiedUnit, Place, Placement, Status
from registry.equipment.models.records import ConfigurationRecord, Setting, State
from registry.equipment.models.sweeps import HostObservation, NetworkSweep

__all__ = [
    "ConfigurationRecord",
    "Document",
    "DocumentKind",
    "Face",
    "HostObservation",
    "Item",
    "Kind",
    "LoudspeakerSpec",
    "Make",
    "MakeModel",
    "NetworkSweep",
    "OccupiedUnit",
    "Place",
    "Placement",
    "Rating",
    "SecretReference",
    "Setting",
    "State",
    "Status",
    "Withdrawal",
]
