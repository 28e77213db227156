"""What a browser calls itself, in a few plain words."""

import re
from typing import Final

# Names that nearly every browser carries to be taken for another; the one that says more stands beside them.
SHARED: Final = {"Mozilla", "AppleWebKit", "Gecko", "Version", "Mobile", "KHTML"}
LONGEST: Final = 80


def browser_words(user_agent: str) -> str:
    """Return the browser's own name (RFC 9110, product tokens) and the kind of device.

    >>> browser_words("Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) One/120.0 Safari/537.36")
    'One on a computer'
    >>> browser_words("Mozilla/5.0 (Android 14; Mobile; rv:120.0) Gecko/120.0 Two/120.0")
    'Two on a phone'
    """
    if not user_agent:
        return "Unknown browser"
    names = [name for name in re.findall(r"([A-Za-z][\w.-]*)/\d", user_agent[:400]) if name not in SHARED]
    if not names:
        return "Unknown browser"
    # Where the list ends with the name that everybody carries, the first one is the browser's own.
    own = names[0] if names[-1] == "Safari" else names[-1]
    return f"{own} on {_device(user_agent)}"[:LONGEST]


def _device(user_agent: str) -> str:
    if "Tablet" in user_agent:
        return "a tablet"
    return "a phone" if "Mobi" in user_agent else "a computer"
