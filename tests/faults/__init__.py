"""A process that writes and is killed, and what must hold afterwards."""
