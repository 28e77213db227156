"""Pages of commissioning: a guided sequence that a phone can carry, and the photos of spots."""
