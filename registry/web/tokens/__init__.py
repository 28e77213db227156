"""Tokens: what managers hand out to other programs."""
