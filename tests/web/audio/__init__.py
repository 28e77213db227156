"""Tests of the pages of lines, zones and readings."""
