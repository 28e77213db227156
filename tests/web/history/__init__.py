"""Tests of the history page."""
