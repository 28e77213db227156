"""What callers say, in the words of engineering.diagnosis, and the small table that proposes them from free text."""

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final, NamedTuple, cast, get_args

from registry.engineering.diagnosis import Symptom, SymptomKind

AS_USUAL: Final = "as usual"
KINDS: Final = (*get_args(SymptomKind), AS_USUAL)
WORDS: Final[Mapping[str, str]] = {
    "silent": "Silent",
    "quieter": "Quieter than usual",
    "louder": "Louder than usual",
    "distorted": "Distorted, crackles, hums",
    "cuts out when loud": "Cuts out when loud",
    "no bass": "Thin, no bass",
    AS_USUAL: "As usual",
}

# Common practice: how people say it. The first that fits a sentence counts, so the narrower ones stand first.
SAID_AS: Final[tuple[tuple[str, str], ...]] = (
    ("cuts out when loud", r"cuts? out|cutting out|switch\w* off when|stops? when\b.*\bloud|drops? out"),
    ("no bass", r"no bass|without bass|thin|tinny|hollow"),
    ("distorted", r"distort\w*|crackl\w*|rattl\w*|scratch\w*|hum|hums|humming|buzz\w*|hiss\w*|sounds? (?:bad|awful)"),
    ("quieter", r"(?:too|very|so|more) (?:quiet|soft|low)|quieter|softer|can(?:no|')?t hardly hear|hardly hear|faint"),
    ("louder", r"(?:too|very|so|more) loud|louder|blaring|deafening"),
    (
        "silent",
        r"no (?:sound|music|audio)|silent|silence|dead|nothing (?:comes|plays)|not playing|doesn't play"
        r"|(?:music|sound) (?:is|has) (?:gone|off|stopped)|can(?:no|')t hear|won't play",
    ),
)
# Common practice too: what people name that changed before, by the words of remedies.CHANGES.
CHANGED_AS: Final[tuple[tuple[str, str], ...]] = (
    ("power cut", r"power[ -]?(?:cut|outage|failure)|blackout|(?:power|electricity) (?:was|went|had been) (?:off|out)"),
    ("new internet box or network", r"new (?:router|internet|wi-?fi|network|broadband)"),
    ("decorators or builders", r"decorators?|builders?|painters?|plasterers?|electricians?|plumbers?"),
    ("new manager or staff", r"new (?:manager|staff|owner|landlord|boss)"),
    ("equipment moved or changed", r"(?:moved|swapped|replaced|unplugged) (?:the|an?|our|some)"),
)
AS_BEFORE: Final = r"\b(?:fine|normal|as usual|as always|all right|ok|okay)\b"


class Said(NamedTuple):
    """One thing that is said: of a zone, of a loudspeaker, or of the whole site where both are empty."""

    kind: str
    zone: str = ""
    loudspeaker: str = ""

    @property
    def where(self) -> str:
        """What it is about, in words."""
        return self.zone or self.loudspeaker or "the whole site"

    @property
    def says(self) -> str:
        """Café: silent."""
        return f"{self.where}: {WORDS[self.kind][0].lower()}{WORDS[self.kind][1:]}"

    @property
    def symptom(self) -> Symptom | None:
        """The same for the diagnosis; None for what is as usual, which it takes as a reading."""
        return None if self.kind == AS_USUAL else Symptom(cast("SymptomKind", self.kind), self.zone, self.loudspeaker)


class Proposed(NamedTuple):
    """What the words seem to say, and which words."""

    said: Said
    words: str


def said_in(rows: Iterable[Mapping[str, Any]]) -> tuple[Said, ...]:
    """Return what is kept in a call's `symptoms`."""
    return tuple(Said(row["kind"], row.get("zone", ""), row.get("loudspeaker", "")) for row in rows)


def proposals(text: str, zones: Iterable[str], *, about: Iterable[str] = ()) -> list[Proposed]:
    """Return what a text seems to say, clause by clause; it is for somebody to confirm, never to be taken as said.

    `zones` are all names of the site, `about` those that the caller means where the words name none.

    >>> [each.said.says for each in proposals("Café is dead; the gift room is fine", ["Café", "Gift room"])]
    ['Café: silent', 'Gift room: as usual']
    """
    names = sorted(zones, key=len, reverse=True)
    found: dict[Said, Proposed] = {}
    for clause in re.split(r"[.;,!?\n]|\bbut\b|\bwhile\b", text):
        kind, words = _kind(clause)
        for zone in (_named(clause, names) or list(about) or [""]) if kind else ():
            found.setdefault(Said(kind, zone), Proposed(Said(kind, zone), words))
    return list(found.values())


def changes_in(*texts: str) -> list[tuple[str, str]]:
    """Return what the words say changed before, and which words; for somebody to confirm, as `proposals` is.

    >>> changes_in("No music since the power cut", "")
    [('power cut', 'power cut')]
    """
    found = ((change, _first(pattern, texts)) for change, pattern in CHANGED_AS)
    return [(change, match[0]) for change, match in found if match]


def _first(pattern: str, texts: Iterable[str]) -> re.Match[str] | None:
    return next(filter(None, (re.search(rf"\b(?:{pattern})\b", text, flags=re.IGNORECASE) for text in texts)), None)


def _kind(clause: str) -> tuple[str, str]:
    for kind, pattern in (*SAID_AS, (AS_USUAL, AS_BEFORE)):
        if match := re.search(rf"\b(?:{pattern})\b", clause.replace("’", "'"), flags=re.IGNORECASE):
            return kind, match[0]
    return "", ""


def _named(clause: str, names: Iterable[str]) -> list[str]:
    """Return the zones that a clause names; a longer name is not also its shorter part."""
    found, rest = [], clause.casefold()
    for name in names:
        if re.search(rf"\b{re.escape(name.casefold())}\b", rest):
            found.append(name)
            rest = rest.replace(name.casefold(), " ")
    return found
