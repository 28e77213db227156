"""Tests of the pages of baselines and restores."""
