"""Tests, in the same folder words as the code."""
