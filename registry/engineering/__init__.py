"""The trade's arithmetic: plain values in, plain values out; no Django, no database."""
