"""Tests of the pages of sites."""
