"""The demo and its factories."""
