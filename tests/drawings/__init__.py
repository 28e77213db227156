"""Tests of the drawings, by what a parser reads out of the SVG."""
