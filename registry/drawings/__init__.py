"""Pictures of the register's things: plain values in, SVG text out; no Django, no database."""
