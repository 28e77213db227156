"""Fold plans and commissioning."""

from registry.planning.models.commissioning import (
    Commissioning,
    CommissioningStep,
    LineMeasurement,
    Polarity,
    SpotPhoto,
    Trial,
    ZoneTarget,
)
from registry.planning.models.fold_plan import Decided, FoldPlan, PlanDecision

__all__ = [
    "Commissioning",
    "CommissioningStep",
    "Decided",
    "FoldPlan",
    "LineMeasurement",
    "PlanDecision",
    "Polarity",
    "SpotPhoto",
    "Trial",
    "ZoneTarget",
]
