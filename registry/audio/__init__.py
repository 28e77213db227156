"""Lines, loudspeakers and zones, and the load of every line."""
