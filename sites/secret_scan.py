"""Does a text hold a secret? Every line that seems to is named, with the secret itself masked."""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from typing import Any, Final, NamedTuple

from django.core.exceptions import ValidationError

from sites.put import Key, Problem, RefusedError
from sites.secret_words import (
    ALONE,
    AS_IT_IS,
    ASSIGNED,
    BLOCK,
    CODE,
    COMMAND,
    ELEMENT,
    MANNER,
    NO_VALUE,
    PAIRED,
    SUFFIX,
    WORD,
    has_sign,
    is_count,
    is_mixed,
    is_nothing,
    is_random,
    is_remark,
)

MOST_FOUND: Final = 50
LONGEST_VALUE: Final = 300
SHOWN_BEFORE: Final = 60
MASK: Final = "••••"
SAYS: Final = "this looks like a secret ({shown}). Write where it is kept and who may ask for it, never the secret"
_QUOTED: Final = re.compile(r"\\?([\"'])(.*?)(?:\\?\1|$)")
_BARE: Final = re.compile(r"[^\s,;<}&\]]+")


class FoundSecret(NamedTuple):
    """A line that seems to hold a secret: its number, and how it begins up to the secret."""

    line: int
    shown: str

    def __str__(self) -> str:
        return f"line {self.line}: {self.shown}"


def secrets_in(text: str, *, table: bool = False) -> list[FoundSecret]:
    """Return the lines that seem to hold a secret, the first 50. With `table` the text is also read as CSV.

    >>> [str(found) for found in secrets_in("hostname sw-1\\nenable secret 5 $1$abcd$efghijklmnop")]
    ['line 2: enable secret 5 ••••']
    """
    starts = sorted({*_announced(text), *_alone(text), *(_in_table(text) if table else ())})
    found: dict[int, FoundSecret] = {}
    line, upto = 1, 0
    for start in starts:
        line, upto = line + text.count("\n", upto, start), start
        if line not in found and len(found) < MOST_FOUND:
            begin = max(text.rfind("\n", 0, start) + 1, start - SHOWN_BEFORE)
            found[line] = FoundSecret(line, f"{text[begin:start].strip()} {MASK}".strip())
    return list(found.values())


def refuse_secret(text: str) -> None:
    """Refuse a text in which a secret is announced; for fields of prose."""
    if found := secrets_in(text):
        raise ValidationError(SAYS.format(shown=found[0].shown))


def refuse_secret_itself(text: str) -> None:
    """Refuse also a code, and a word that is built like a password; for fields that say where a secret is kept."""
    refuse_secret(text)
    if CODE.search(text) or any(is_mixed(word) or is_random(word) for word in text.split()):
        raise ValidationError(SAYS.format(shown=MASK))


def refuse_secrets(what: str, rows: Mapping[Key, Mapping[str, Any]], field: str) -> None:
    """Refuse rows that are about to be written with a secret in their notes; for actions."""
    found = {key: secrets_in(row[field]) for key, row in rows.items() if row.get(field)}
    problems = [Problem(what, key, field, SAYS.format(shown=lines[0].shown)) for key, lines in found.items() if lines]
    if problems:
        raise RefusedError(problems)


def refuse_secret_settings(key: Key, settings: Mapping[str, tuple[str, str]]) -> None:
    """Refuse settings whose name announces what their value then tells; for actions."""
    rows = {(*key, name): {"value": f"{name}: {value}"} for name, (value, _) in settings.items()}
    refuse_secrets("setting", rows, "value")


def _alone(text: str) -> Iterator[int]:
    for pattern in ALONE:
        for match in pattern.finditer(text):
            if not is_nothing(match["value"]) or match["value"].startswith("$"):
                yield match.start("value")


def _announced(text: str) -> Iterator[int]:
    for match in WORD.finditer(text):
        suffix = SUFFIX.match(text, match.end())
        if suffix is None:
            continue
        at = _value_after(text, match, suffix.end())
        if at is not None:
            yield at


def _value_after(text: str, word: re.Match[str], end: int) -> int | None:
    """Return where the secret begins that this word announces, or None when it announces none."""
    quoted = end < len(text) and text[end] in "\"'\\"
    closed = end + 1 if quoted else end
    closed += 1 if quoted and text[end] == "\\" else 0
    if assigned := ASSIGNED.match(text, closed):
        return _assigned(text, word, assigned.end())
    if paired := PAIRED.match(text, end):
        return _assigned(text, word, paired.end())
    if (element := ELEMENT.match(text, end)) and not _closes(text, word.start()):
        return _assigned(text, word, element.end())
    return None if quoted else _commanded(text, word, end)


def _closes(text: str, at: int) -> bool:
    """Return whether the name belongs to a closing tag; what follows that is no value."""
    tag = text.rfind("<", max(0, at - SHOWN_BEFORE), at)
    return text[tag + 1 : tag + 2] == "/"


def _assigned(text: str, word: re.Match[str], at: int) -> int | None:
    if block := BLOCK.match(text, at):
        at = block.end()
    rest = _rest_of_line(text, at)
    if manner := MANNER.match(rest):
        at, rest = at + manner.end(), rest[manner.end() :]
    value = _value(rest)
    if is_nothing(value) or (not _is_password(word) and is_count(value)):
        return None
    if rest[:1] not in {'"', "'"} and is_remark(rest):
        return None
    if _is_bare_key(word) and not is_random(value):
        return None
    return at


def _commanded(text: str, word: re.Match[str], end: int) -> int | None:
    """Judge "password hunter2", "enable secret 5 …", "snmp-server community … RO": no sign stands between the two."""
    rest = _rest_of_line(text, end)
    gap = len(rest) - len(rest.lstrip(" \t"))
    if not gap:
        return None
    before = text[max(text.rfind("\n", 0, word.start()) + 1, word.start() - SHOWN_BEFORE) : word.start()]
    at, rest = end + gap, rest[gap:]
    manner = MANNER.match(rest)
    if manner:
        at, rest = at + manner.end(), rest[manner.end() :]
    value = _value(rest)
    if is_nothing(value) or is_count(value) or is_remark(rest):
        return None
    return at if _commands(before, word, manner, rest, value) else None


def _commands(before: str, word: re.Match[str], manner: re.Match[str] | None, rest: str, value: str) -> bool:
    typed = manner is not None and not manner[0].lower().startswith("is ")
    if word["community"]:
        return word["community"].lower().startswith("r") or "snmp" in before.lower()
    if word["key"]:
        return (typed and has_sign(value)) or (bool(COMMAND.search(before)) and has_sign(value)) or is_random(value)
    if has_sign(value):
        return True
    alone = len(rest.split()) == 1 or rest[0] in "\"'"
    if (manner and manner[0].split()[-1].lower() in AS_IT_IS) or COMMAND.search(before):
        return alone
    return alone and not before.strip() and word[0].islower() and not NO_VALUE.fullmatch(value)


def _is_password(word: re.Match[str]) -> bool:
    return bool(word["glued"])


def _is_bare_key(word: re.Match[str]) -> bool:
    return bool(word["key"]) or (word["hump"] or "").lower() == "key"


def _rest_of_line(text: str, at: int) -> str:
    end = text.find("\n", at)
    return text[at : min(end if end >= 0 else len(text), at + LONGEST_VALUE)].rstrip("\r")


def _value(rest: str) -> str:
    if quoted := _QUOTED.match(rest):
        return quoted[2]
    bare = _BARE.match(rest)
    return bare[0] if bare else ""


def _in_table(text: str) -> Iterator[int]:
    """Judge the cells below a heading such as "password", and the cell behind one."""
    heading = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=heading.count)
    start, named = 0, set[int]()
    for number, line in enumerate(text.splitlines(keepends=True)):
        cells = next(csv.reader(io.StringIO(line[:10_000]), delimiter=delimiter), [])
        if number == 0:
            named = {place for place, cell in enumerate(cells) if _is_name(cell)}
        elif any(_holds(cells, place, named) for place in range(len(cells))):
            place = next(place for place in range(len(cells)) if _holds(cells, place, named))
            yield start + max(line.find(cells[place]), 0)
        start += len(line)


def _holds(cells: list[str], place: int, named: set[int]) -> bool:
    announced = place in named or (place > 0 and _is_name(cells[place - 1]))
    value = cells[place]
    return announced and not is_nothing(value) and not is_remark(value) and not _is_name(value)


def _is_name(cell: str) -> bool:
    words = [word for word in WORD.finditer(cell[:80]) if SUFFIX.fullmatch(cell.strip()[:80], word.end())]
    return bool(words) and not _is_bare_key(words[-1])
