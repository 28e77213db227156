"""Text that a spreadsheet would run as a formula: quoted on its way into a CSV file, and taken back from one.

The signs are those of OWASP's page on CSV injection (from memory): = + - @, tab, carriage return, line feed, and the
wide forms of the first four.
"""

import re

_SIGNS = r"[=+\-@\t\r\n＝＋－＠]"
# Leading apostrophes are our own quoting of such text, so they are quoted too: that is what makes it come back exactly.
_FORMULA = re.compile(f"'*{_SIGNS}")
_QUOTED = re.compile(f"'+{_SIGNS}")
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")


def quote_formula(text: str) -> str:
    """Return the text with a leading apostrophe where a spreadsheet would run it; numbers stay as they are.

    >>> quote_formula("=1+1"), quote_formula("-3.5"), quote_formula("- see note")
    ("'=1+1", '-3.5', "'- see note")
    """
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def unquote_formula(text: str) -> str:
    """Return the text without the apostrophe that `quote_formula` put before it.

    >>> unquote_formula("'=1+1"), unquote_formula("'tis")
    ('=1+1', "'tis")
    """
    return text[1:] if _QUOTED.match(text) else text
