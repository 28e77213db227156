"""Tests of the arithmetic against published figures."""
