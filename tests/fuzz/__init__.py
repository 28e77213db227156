"""Hostile input: parsers, forms and actions refuse what they can't take, and what is refused leaves nothing behind."""
