"""What letters and signs come to when things are looked for: small, without accents, every other sign a space.

>>> fold("Café  ZÜRICH, straße 3"), fold("NH-0001"), compact("02-00-5E-10-00-01")
('cafe zurich strasse 3', 'nh 0001', '02005e100001')
"""

import ipaddress
import re
import unicodedata

# Letters whose stroke is no accent of its own to Unicode (NFKD leaves them whole).
_STROKES = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ħ": "h", "æ": "ae", "œ": "oe", "þ": "th", "ı": "i"})
_NO_LETTER = re.compile(r"[\W_]+")


def fold(text: str) -> str:
    """Return the words of a text, small and without accents, one space between."""
    # Twice, since taking a letter apart may show a capital, and making it small a letter to take apart.
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    letters = "".join(sign for sign in plain if not unicodedata.combining(sign)).translate(_STROKES)
    return _NO_LETTER.sub(" ", letters).strip()


def compact(text: str) -> str:
    """Return a code without anything between its letters and digits: a MAC address is one in every notation."""
    return fold(text).replace(" ", "")


def spellings(typed: str) -> list[str]:
    """Return what to look for when somebody typed this: its words, and the same as one code or one IP address."""
    words = [fold(typed)]
    try:
        words.append(fold(str(ipaddress.ip_address(typed.strip()))))
    except ValueError:
        # Without its dots a part of an IP address would be any number.
        if not re.fullmatch(r"[\d.\s]+", typed) or "." not in typed:
            words.append(compact(typed))
    return [each for each in dict.fromkeys(words) if len(each) >= 2]
