"""One box that finds things."""
