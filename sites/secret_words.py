"""The words by which a secret is announced, and the values that stand where a secret would but are none.

Common practice and the plain words of configuration files; no list is complete, so the pages ask people to look too.
"""

import math
import re
from collections import Counter
from typing import Final

# Keys that open something; a key without such a word before it is often only a name ({"key": "volume"}).
_OPENING: Final = (
    r"api|auth(?:entication)?|access|(?:pre[ _.\-]?)?shared|private|secret|session|master|ssh|tacacs|radius|isakmp"
    r"|ipsec|vpn|wi-?fi|wlan|wireless|network|security|encryption|wpa\d?|wep|signing|hmac|aes|stream"
)
_USERS_PASS: Final = r"(?:user|admin|root|login|wifi|wlan|smtp|mail|ftp|mqtt|sip|db)[ _.\-]?pass(?![a-z])"  # noqa: S105 (words, no password)
WORD: Final = re.compile(
    r"(?P<glued>pass(?:word|wd|phrase|code)|secret)"
    rf"|(?<![a-z])(?P<apart>pwd|psk|token|credential|{_USERS_PASS}|(?:{_OPENING})[ _.\-]?key)"
    r"|(?<![a-z])(?P<community>(?:r[ow])?community6?)"
    r"|(?<![a-z])(?P<key>key)"
    r"|(?<=[a-z])(?P<hump>Pwd|Psk|PSK|Token|Credential|Pass|Key|Community)(?![a-z])",
    re.IGNORECASE,
)
# What may stand between the word and the end of the name: wpa-psk-ascii, password_hash, secret2.
SUFFIX: Final = re.compile(
    r"(?:[_\-]?(?:hash|enc|encrypted|value|text|string|b64|base64|hex|ascii))?\d{0,2}(?![\w\-])", re.IGNORECASE
)
ASSIGNED: Final = re.compile(r"[ \t]*(?::=|=>|[:=])[ \t]*")
ELEMENT: Final = re.compile(r"[ \t]*>[ \t]*(?=[^<\s])")
PAIRED: Final = re.compile(
    r"[\"']?[\s,;]{1,40}[\"']?(?:value|val|text|content)[\"']?[ \t]*[:=][ \t]*|[ \t]*</\w{1,20}>\s{0,40}<\w{1,20}>",
    re.IGNORECASE,
)
BLOCK: Final = re.compile(r"[|>][+\-]?[ \t]*\r?\n[ \t]+")
# Words that say how the secret is written, in front of it: "secret 5 …", "wpa-psk ascii 0 …".
MANNER: Final = re.compile(
    r"(?:(?:ascii|hex|encrypted|cipher|hash|plain|cleartext|clear|text|is|[0-9]|15)[ \t]+)+(?=\S)", re.IGNORECASE
)
# Behind these the secret stands as it is, so a plain word is one too.
AS_IT_IS: Final = frozenset({"0", "ascii", "text", "plain", "clear", "cleartext"})
COMMAND: Final = re.compile(
    r"(?:^|[\s\-])(?:username\s+\S+|user\s+\S+|enable|set|option|snmp\S*|wpa\S*|privilege\s+\d+|server(?:\s+\S+)?)"
    r"\s+[\w\-. ]{0,20}$",
    re.IGNORECASE,
)
_OPENED: Final = (
    r"(?:doors?|gates?|alarm|safe|pad ?lock|lock|shutters?|barrier|key ?pad|key ?box|entrance|entry|panel|building"
    r"|cupboard|rack|room|office|store|cellar|garage|lift)"
)
# Such codes are nobody's secret.
_OTHER_CODE: Final = r"(?<!error )(?<!fault )(?<!postal )(?<!zip )(?<!area )(?<!site )"
# Secrets that need no word before them.
ALONE: Final = (
    re.compile(r"-----BEGIN (?:[A-Z0-9]+ ){0,3}(?P<value>PRIVATE KEY-----)"),
    re.compile(r"(?P<value>\$(?:[156y]|2[aby]|argon2[a-z]{1,2})\$[^\s\"'<,;]{8,})"),
    re.compile(r"[a-z][a-z0-9+.\-]{1,15}://[^\s/:@\"'<>]{0,64}:(?P<value>[^\s/@\"'<>*]{1,64})@", re.IGNORECASE),
    re.compile(
        r"authorization[\"']?[ \t]*[:=][ \t]*[\"']?(?:bearer|basic|digest|token)[ \t]+(?P<value>[\w+/=.\-]{6,})",
        re.IGNORECASE,
    ),
    # Codes of doors and alarms. A pin of a connector has no four digits.
    re.compile(
        r"\b(?:pin|(?:door|gate|alarm|access|entry|safe|lock|disarm|keypad|key ?box)[ \-]code)(?:[ \t]code)?"
        r"(?:[ \t]is)?[ \t]*[:=]?[ \t]*(?P<value>\d{4,8})\b",
        re.IGNORECASE,
    ),
    re.compile(
        rf"{_OTHER_CODE}\b(?:code|pin|combination)[ \t]+(?:of|for|to|at|on)(?:[ \t]+[\w'’\-]+){{0,3}}?[ \t]+{_OPENED}"
        r"(?:[ \t]+[\w'’\-]+){0,2}?(?:[ \t]+is)?[ \t]*[:=]?[ \t]*(?P<value>\d{4,8})\b",
        re.IGNORECASE,
    ),
    # The sign that ends a code on a keypad.
    re.compile(
        rf"{_OTHER_CODE}\b(?:code|pin|combination)(?:[ \t]is)?[ \t]*[:=]?[ \t]*(?P<value>[#*]?\d{{3,8}}[ \t]?[#*])",
        re.IGNORECASE,
    ),
)
# Where only a place is asked for, any number behind such a word is the code itself.
CODE: Final = re.compile(
    rf"{_OTHER_CODE}\b(?:code|pin|combination|password)\b[^\d\n]{{0,24}}[#*]?\d{{4,8}}\b", re.IGNORECASE
)
_NOTHING: Final = re.compile(
    r"[*•●.…_#\-]+|x{2,}|[<(\[{].*|\$\{.*|\$[a-z_]\w*|%\w*%|@\w+@|null|none|nil|undefined|n/?a|empty|unset|unknown|string|text|true|false|yes|no|on|off"
    r"|enabled?|disabled?|required|optional|mandatory|allowed|denied|hidden|masked|redacted|removed|changed|default"
    r"|always|never|strong|weak|ssh-\w+|ecdsa-\S+|sha\d+:\S*|/\S*",
    re.IGNORECASE,
)
# A remark begins like this: "Password: ask the office", "Wi-Fi key: in the safe".
_REMARK: Final = re.compile(
    r"(?:ask|see|in|at|with|kept|held|stored|by|from|on|the|not?|none|unknown|changed|set|same|as|who|only|is|was|of|for"
    r"|to|and|or|an?|has|must|stays|under|behind|inside|never|you)[.,;:]?\s+\S",
    re.IGNORECASE,
)
# Behind "password" these make a name or a sentence: "password reset".
NO_VALUE: Final = re.compile(
    r"policy|reset|manager|chang(?:es?|ed)|required|protect(?:ed|ion)|list|recovery|rotation|length|prompt|file|field|box"
    r"|safe|management|keeper|expir(?:ed|y)|encryption|authentication|settings|generator",
    re.IGNORECASE,
)
_NUMBERS: Final = re.compile(r"\d{1,3}|\d{1,10}:\d{1,10}")
_SIGN: Final = re.compile(r"[0-9!@#$%^&*?=+/\\~|]")
_PUNCTUATION: Final = ".,;:)\"'"


def is_nothing(value: str) -> bool:
    """Return whether a value is empty, masked, a placeholder or a plain word such as "required".

    >>> is_nothing("****"), is_nothing("${PASSWORD}"), is_nothing("hunter2")
    (True, True, False)
    """
    bare = value.strip().strip("\"'")
    return not bare or bool(_NOTHING.fullmatch(bare.rstrip(_PUNCTUATION) or "."))


def is_remark(text: str) -> bool:
    """Return whether a text says where a secret is, in words, instead of saying it.

    >>> is_remark("in the safe of the office"), is_remark("correct horse")
    (True, False)
    """
    return bool(_REMARK.match(text.strip()))


def is_count(value: str) -> bool:
    """Return whether a value is only a small number, or a pair of numbers (a routing community)."""
    return bool(_NUMBERS.fullmatch(value.strip(_PUNCTUATION)))


def has_sign(value: str) -> bool:
    """Return whether a value is more than a plain word: four characters or more, one of them a digit or a sign."""
    bare = value.strip(_PUNCTUATION)
    return len(bare) >= 4 and bool(_SIGN.search(bare))


def is_random(value: str) -> bool:
    """Return whether a value looks drawn by lot: 16 signs or more, letters and digits, over 3.2 bits a sign (Shannon).

    >>> is_random("c2VjcmV0LWtleS0xMjM0"), is_random("channel 1 volume trim")
    (True, False)
    """
    if len(value) < 16 or " " in value or not (re.search(r"\d", value) and re.search(r"[A-Za-z]", value)):
        return False
    shares = [count / len(value) for count in Counter(value).values()]
    return -sum(share * math.log2(share) for share in shares) > 3.2


def is_mixed(word: str) -> bool:
    """Return whether a word is itself built like a password: 8 signs or more, small and capital letters and digits."""
    bare = word.strip(_PUNCTUATION)
    kinds = (r"[a-z]", r"[A-Z]", r"\d")
    return len(bare) >= 8 and "://" not in bare and all(re.search(kind, bare) for kind in kinds)
