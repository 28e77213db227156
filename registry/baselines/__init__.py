"""Readings, baselines, drift from them and the way back to them."""
