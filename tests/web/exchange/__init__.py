"""Tests of the pages of surveys."""
