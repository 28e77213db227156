"""Tests of the pages of search."""
