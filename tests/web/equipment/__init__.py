"""Tests of the pages of equipment."""
