"""Sheets, labels and cards to print."""
