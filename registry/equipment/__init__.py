"""Places, the items that fill them over time, and what makers sell."""
