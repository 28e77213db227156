"""Evenkeel: a register of what is installed, what every line carries, and the baseline to restore."""
