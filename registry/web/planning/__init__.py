"""Fold plans: ask, compare, keep, accept, wire."""
