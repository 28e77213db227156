"""Where a step, a zone or a place stands on the page of a restore."""

from hashlib import sha256


def anchor_of(*parts: str) -> str:
    """Return the fragment that stands for a step, a zone or a place on the page."""
    return "at-" + sha256("\n".join(parts).encode()).hexdigest()[:12]
