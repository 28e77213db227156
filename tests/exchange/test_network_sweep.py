"""Files of hosts: any order, any plain heading, CSV or JSON; every row that can't be read is named.

Addresses are those for documentation (RFC 5737, RFC 3849, RFC 7042).
"""

import json
from datetime import UTC, datetime

import pytest

from registry.equipment.sweeps import SeenHost
from registry.exchange.network_sweep import MOST_HOSTS, ReadSweep, SweepRefusedError, read_sweep
from sites.models import Site

SITE = Site(time_zone="Europe/London")
AT = datetime(2026, 11, 12, 10, 30, tzinfo=UTC)
HOST = SeenHost("192.0.2.14", "00:00:5e:00:53:07", "end-1", AT)


def read(text: str, *, at: datetime | None = None) -> ReadSweep:
    return read_sweep("hosts", text.encode(), site=SITE, at=at)


@pytest.mark.parametrize(
    "text",
    [
        "ip,mac,hostname,seen at\n192.0.2.14,00:00:5e:00:53:07,end-1,2026-11-12T10:30\n",
        "\ufeffLast Seen;Host Name;Hardware address;IP address\n\n2026-11-12 10:30;end-1;00-00-5E-00-53-07;192.0.2.14",
        "IP_Address\tMAC-Address\tname\ttimestamp\n192.0.2.14\t0000.5e00.5307\tend-1.\t2026-11-12T10:30:00Z\n",
        "seen,physical address,ip,device name\n2026-11-12T11:30+01:00,00005E005307,192.0.2.14,end-1\n",
        '[{"ip": "192.0.2.14", "mac": "00:00:5e:00:53:07", "hostname": "end-1", "seen_at": "2026-11-12T10:30"}]',
        '{"hosts": [{"IP Address": "192.0.2.14", "macAddress": "00:00:5E:00:53:07", "name": "end-1",'
        ' "lastSeen": "2026-11-12T10:30Z"}]}',
    ],
    ids=["csv", "semicolon", "tab", "order", "list", "object"],
)
def test_any_order_any_plain_heading_any_notation(text: str) -> None:
    assert read(text).hosts == [HOST]


def test_what_the_file_does_not_say_stays_empty_and_columns_left_aside_are_named() -> None:
    found = read("ip,mac,vendor,open ports\n2001:DB8::0A,,Make A,80\n", at=AT)
    assert found.hosts == [SeenHost("2001:db8::a", "", "", AT)]
    assert found.not_read == ["vendor", "open ports"]


def test_clock_time_is_the_site_s() -> None:
    (host,) = read("ip,mac,seen\n192.0.2.1,,2026-07-01 10:30\n").hosts
    assert host.seen_at == datetime(2026, 7, 1, 9, 30, tzinfo=UTC)


FAULTS = [
    ("192.0.2.300,,", "row 2, ip: '192.0.2.300': an IP address such as 192.0.2.14"),
    ("192.0.2.1/24,,", "row 2, ip: '192.0.2.1/24': an IP address such as 192.0.2.14"),
    (",00:00:5e:00:53:07,", "row 2, ip: an IP address such as 192.0.2.14"),
    ("0.0.0.0,,", "row 2, ip: '0.0.0.0': the IP address of one host in the network"),
    ("224.0.0.1,,", "row 2, ip: '224.0.0.1': the IP address of one host in the network"),
    ("fe80::1%eth0,,", "row 2, ip: 'fe80::1%eth0': an IP address without the name of an interface behind it"),
    ("192.0.2.1,00:00:5e:00:53,", "row 2, mac: '00:00:5e:00:53': six pairs of hex digits, for example"),
    ("192.0.2.1,unknown,", "row 2, mac: 'unknown': six pairs of hex digits"),
    ("192.0.2.1,00:00:00:00:00:00,", "leave the cell empty if it isn't known"),
    ("192.0.2.1,ff:ff:ff:ff:ff:ff,", "this one stands for a group"),
    ("192.0.2.1,,yesterday", "row 2, seen: 'yesterday': a date and time such as"),
    ("192.0.2.1,,12.11.2026 10:30", "row 2, seen: '12.11.2026 10:30': a date and time such as"),
    ("192.0.2.1,,2026-03-29T01:30", "a time that exists in Europe/London: clocks skip this hour"),
    ("192.0.2.1,,2026-10-25T01:30", "this hour comes twice in Europe/London"),
    ("192.0.2.1,,,surplus", "row 2: 'surplus': 3 cells, got 4: is a comma unquoted?"),
    ('192.0.2.1,"open', "quotes come in pairs"),
]


@pytest.mark.parametrize(("row", "says"), FAULTS, ids=[row for row, _ in FAULTS])
def test_a_row_that_cannot_be_read_is_named(row: str, says: str) -> None:
    with pytest.raises(SweepRefusedError) as refused:
        read(f"ip,mac,seen\n{row}\n", at=AT)
    assert len(refused.value.problems) == 1
    assert says in str(refused.value)


def test_every_fault_is_told_at_once() -> None:
    with pytest.raises(SweepRefusedError) as refused:
        read("ip,mac,seen\nx,,2026-11-12T10:30\n192.0.2.1,y,\n")
    assert [(problem.row, problem.column) for problem in refused.value.problems] == [(2, "ip"), (3, "mac")]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "a heading line with at least the IP and the MAC address"),
        ("host,vendor\nx,y\n", "ip: this column is missing; it may be called ip, ip address"),
        ("ip,vendor\n192.0.2.1,y\n", "mac: this column is missing"),
        ("ip,mac\n192.0.2.1,\n", "seen at: this column is missing: a date and time"),
        ("ip,ip address,mac,seen\n192.0.2.1,192.0.2.2,,\n", "this column once: leave one of them"),
        ("ip,ip,mac,seen\n192.0.2.1,192.0.2.2,,\n", "each column once"),
        ("[1]", "row 1: '1': an object such as"),
        ('{"devices": []}', 'a list of hosts, or an object with the list "hosts"'),
        ('[{"ip": 3221225985, "mac": "", "seen": "2026-11-12T10:30"}]', "row 1, ip: '3221225985': text in quotes"),
        ("[{", "row 1: JSON: "),
        ("[" * 100_000, "JSON of plain hosts"),
        ("ip,mac,seen\n" + "192.0.2.1,,\n" * (MOST_HOSTS + 1), "sweep one network at a time"),
    ],
)
def test_a_file_that_is_none_says_what_it_should_be(text: str, says: str) -> None:
    with pytest.raises(SweepRefusedError) as refused:
        read(text)
    assert says in str(refused.value)


def test_another_encoding_is_told_with_its_line() -> None:
    with pytest.raises(SweepRefusedError, match="row 2: 'byte 0xe9': a file in UTF-8"):
        read_sweep("x.csv", "ip,mac\ncafé".encode("latin-1"), site=SITE)


def test_the_hash_is_that_of_the_bytes() -> None:
    content = json.dumps([]).encode()
    # SHA-256 of "[]": sha256sum of GNU coreutils.
    assert read_sweep("x", content, site=SITE).sha256.startswith("4f53cda18c2baa0c")
