"""Backups: the whole register in one file, brought back and compared. No tables of its own."""
