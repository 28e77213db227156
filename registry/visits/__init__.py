"""Visits: the plans that make them due, what is done and found at one, and the calls between them."""
