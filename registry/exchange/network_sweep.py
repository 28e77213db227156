"""A file of hosts from any network scanner, CSV or JSON, becomes hosts that were seen; no row is dropped silently."""

import csv
import hashlib
import io
import json
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, NamedTuple

from registry.equipment.sweeps import SeenHost
from registry.exchange.columns import iso_moment
from sites.addresses import host_ip_address, host_mac_address
from sites.clock import local_moment
from sites.models import Site
from sites.quoting import unquote_formula

MOST_BYTES: Final = 4 * 1024 * 1024
MOST_HOSTS: Final = 4096
MOST_PROBLEMS: Final = 200
LONGEST_NAME: Final = 253  # of a host, RFC 1035
# Plain words under which scanners write the four columns; case, spaces, "_", "-" and "." don't matter.
WORDS: Final = {
    "ip": ("ip", "ip address", "ipaddress", "ip addr", "address", "ipv4", "ipv4 address", "ipv6", "ipv6 address"),
    "mac": ("mac", "mac address", "macaddress", "mac addr", "hardware address", "physical address", "ethernet address"),
    "hostname": ("hostname", "host name", "name", "dns name", "device name", "computer name", "fqdn"),
    "seen at": ("seen at", "seen", "last seen", "last seen at", "lastseen", "time", "timestamp", "date time", "when"),
}
_NAMED: Final = {word: name for name, words in WORDS.items() for word in words}
WHEN: Final = "a date and time such as 2026-11-12T10:30"
NO_TIME: Final = f"{WHEN}, or say below when the sweep was made"


class SweepProblem(NamedTuple):
    """One fault: the row (a line of CSV, the count of an entry in JSON), its column, what stands there, what should."""

    row: int | None
    column: str
    value: str
    expected: str

    def __str__(self) -> str:
        where = ", ".join(part for part in (f"row {self.row}" if self.row else "", self.column) if part)
        got = f"{self.value[:60]!r}: " if self.value else ""
        return f"{where}: {got}{self.expected}" if where else f"{got}{self.expected}"


class SweepRefusedError(ValueError):
    """Raised when a file has faults; nothing was recorded."""

    def __init__(self, problems: Iterable[SweepProblem]) -> None:
        self.problems = list(problems)[:MOST_PROBLEMS]
        super().__init__("\n".join(str(problem) for problem in self.problems))


@dataclass(frozen=True, slots=True)
class ReadSweep:
    """What a file says: its hosts in order, and the columns that nobody needs here."""

    source: str
    sha256: str
    hosts: Sequence[SeenHost]
    not_read: Sequence[str]


class _Entry(NamedTuple):
    row: int
    cells: Mapping[str, Any]


def read_sweep(source: str, content: bytes, *, site: Site, at: datetime | None = None) -> ReadSweep:
    """Read a file of hosts; one that doesn't say when a host was seen takes `at`. Times without offset are the site's.

    Raises SweepRefusedError with every fault by row and column.
    """
    if len(content) > MOST_BYTES:
        raise _refused(f"{len(content)} bytes are more than the {MOST_BYTES} of one sweep: export the hosts only")
    text = _decoded(content)
    entries = _json_entries(text) if text.lstrip()[:1] in {"[", "{"} else _csv_entries(text)
    if len(entries) > MOST_HOSTS:
        raise _refused(f"{len(entries)} hosts are more than the {MOST_HOSTS} of one sweep: sweep one network at a time")
    names = list(dict.fromkeys(name for entry in entries for name in entry.cells))
    columns = _columns(names, at)
    problems: list[SweepProblem] = []
    hosts = [_host(entry, columns, site, at, problems) for entry in entries]
    if problems:
        raise SweepRefusedError(problems)
    not_read = [name for name in names if name and name not in columns.values()]
    return ReadSweep(source, hashlib.sha256(content).hexdigest(), [host for host in hosts if host], not_read)


def _refused(expected: str, row: int | None = None, column: str = "", value: str = "") -> SweepRefusedError:
    return SweepRefusedError([SweepProblem(row, column, value, expected)])


def _decoded(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        says = "a file in UTF-8: save it again as CSV UTF-8"
        raise _refused(says, line, value=f"byte 0x{content[error.start]:02x}") from None


def _csv_entries(text: str) -> list[_Entry]:
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        rows = [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        says = "cells separated by commas, semicolons or tabs; quotes come in pairs"
        raise _refused(says, reader.line_num, value=str(error)) from None
    if not rows:
        raise _refused("a heading line with at least the IP and the MAC address, then one line per host")
    (_, header), *hosts = rows
    header = [name.strip() for name in header]
    problems = [
        SweepProblem(row, "", cells[len(header)], f"{len(header)} cells, got {len(cells)}: is a comma unquoted?")
        for row, cells in hosts
        if any(cell.strip() for cell in cells[len(header) :])
    ]
    twice = sorted({name for name in header if name and header.count(name) > 1})
    problems += [SweepProblem(rows[0][0], name, name, "each column once") for name in twice]
    if problems:
        raise SweepRefusedError(problems)
    return [_Entry(row, dict(zip(header, cells, strict=False))) for row, cells in hosts]


def _json_entries(text: str) -> list[_Entry]:
    try:
        found = json.loads(text)
        # JSON may escape half of a sign (RFC 8259, section 8.2), which no page that names it could be written with.
        json.dumps(found, ensure_ascii=False).encode()
    except json.JSONDecodeError as error:
        raise _refused(f"JSON: {error.msg}", error.lineno) from None
    except (RecursionError, ValueError):
        raise _refused("JSON of plain hosts") from None
    hosts = found.get("hosts") if isinstance(found, dict) else found
    if not isinstance(hosts, list):
        raise _refused('a list of hosts, or an object with the list "hosts"')
    wrong = [(row, host) for row, host in enumerate(hosts, 1) if not isinstance(host, dict)]
    if wrong:
        says = 'an object such as {"ip": "192.0.2.14", "mac": "00-00-5E-00-53-07"}'
        raise SweepRefusedError([SweepProblem(row, "", str(host), says) for row, host in wrong])
    return [_Entry(row, host) for row, host in enumerate(hosts, 1)]


def _columns(names: Sequence[str], at: datetime | None) -> dict[str, str]:
    """Return which column of the file is which of ours."""
    found: dict[str, list[str]] = {}
    for name in names:
        plain = " ".join(name.casefold().replace("_", " ").replace("-", " ").replace(".", " ").split())
        if plain in _NAMED:
            found.setdefault(_NAMED[plain], []).append(name)
    problems = [
        SweepProblem(None, ours, " and ".join(theirs), "this column once: leave one of them")
        for ours, theirs in found.items()
        if len(theirs) > 1
    ]
    for ours in ("ip", "mac") if names else ():
        if ours not in found:
            says = f"this column is missing; it may be called {', '.join(WORDS[ours])}"
            problems.append(SweepProblem(None, ours, "", says))
    if names and "seen at" not in found and at is None:
        problems.append(SweepProblem(None, "seen at", "", f"this column is missing: {NO_TIME}"))
    if problems:
        raise SweepRefusedError(problems)
    return {ours: theirs[0] for ours, theirs in found.items()}


def _host(
    entry: _Entry, columns: Mapping[str, str], site: Site, at: datetime | None, problems: list[SweepProblem]
) -> SeenHost | None:
    before = len(problems)
    moment = _cell(entry, columns, "seen at", lambda text: local_moment(iso_moment(text), site.zone_info), problems)
    ip = _cell(entry, columns, "ip", host_ip_address, problems)
    mac = _cell(entry, columns, "mac", host_mac_address, problems)
    hostname = _cell(entry, columns, "hostname", _host_name, problems)
    if len(problems) > before:
        return None
    when: datetime | None = moment or at
    if not ip:
        problems.append(SweepProblem(entry.row, columns["ip"], "", "an IP address such as 192.0.2.14"))
        return None
    if when is None:
        problems.append(SweepProblem(entry.row, columns["seen at"], "", NO_TIME))
        return None
    return SeenHost(ip, mac or "", hostname or "", when)


def _cell(
    entry: _Entry, columns: Mapping[str, str], ours: str, read: Callable[[str], Any], problems: list[SweepProblem]
) -> Any:
    name = columns.get(ours, ours)
    value = entry.cells.get(name)
    if value is None or value == "":
        return None
    try:
        if not isinstance(value, str):
            raise ValueError("text in quotes")
        return read(unquote_formula(value.strip())) if value.strip() else None
    except ValueError as error:
        problems.append(SweepProblem(entry.row, name, str(value), str(error)))
        return None


def _host_name(text: str) -> str:
    name = text.rstrip(".")
    if len(name) > LONGEST_NAME or any(unicodedata.category(sign).startswith("C") for sign in name):
        raise ValueError(f"a name of at most {LONGEST_NAME} characters without control characters")
    return name


def columns_in_words() -> Iterator[str]:
    """Return the four columns with the other words for each, for a page that explains them."""
    for name, words in WORDS.items():
        yield f"{name} ({', '.join(word for word in words if word != name)})"
