"""Readings, baselines, and the restores that lead back to one."""

from registry.baselines.models.baseline import Baseline
from registry.baselines.models.reading import MeterClass, Reading
from registry.baselines.models.restore import Restore, RestoreStep

__all__ = ["Baseline", "MeterClass", "Reading", "Restore", "RestoreStep"]
