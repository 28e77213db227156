"""Surveys in and out."""
