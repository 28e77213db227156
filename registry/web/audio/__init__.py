"""Lines, zones and readings."""
