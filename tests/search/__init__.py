"""Tests of the index of the search and of its ranking."""
