"""Baselines: freeze, look, compare, restore."""
