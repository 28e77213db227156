"""Fold plans and commissioning: what is to be, and the way from what is."""
