"""Tests of the pages of today."""
