"""Nothing in the demo is real: no maker, no person, no reachable address."""

import re
from collections.abc import Iterator
from ipaddress import ip_address, ip_network
from pathlib import Path

import registry.demo

FOLDER = Path(registry.demo.__file__).parent
# Addresses set aside for documentation: RFC 5737.
DOCUMENTATION = [ip_network(block) for block in ("192.0.2.0/24", "198.51.100.0/24", "203.0.113.0/24")]
FORBIDDEN = re.compile(r"dent(al|ist)|medic|clinic|surgery|hospital|doctor", re.IGNORECASE)
SECRETS = re.compile(r"(password|pin|code|key)\s*[:=]\s*\d{4}", re.IGNORECASE)


def texts() -> Iterator[tuple[Path, str]]:
    for path in sorted(FOLDER.rglob("*")):
        if path.suffix in {".py", ".csv"}:
            yield path, path.read_text(encoding="utf-8")


def test_no_forbidden_word_and_no_secret_stands_in_any_file() -> None:
    found = [(path.name, match[0]) for path, text in texts() for match in FORBIDDEN.finditer(text)]
    found += [(path.name, match[0]) for path, text in texts() for match in SECRETS.finditer(text)]
    assert found == []
    assert sum(1 for _ in texts()) > 25


def test_every_address_in_any_file_is_one_for_documentation() -> None:
    found = [ip_address(match[0]) for _, text in texts() for match in re.finditer(r"\b\d+\.\d+\.\d+\.\d+\b", text)]
    outside = {str(ip) for ip in found if not any(ip in block for block in DOCUMENTATION)}
    assert outside == {"127.0.0.1"}
    mails = {match[0] for _, text in texts() for match in re.finditer(r"(?<=[\w}])@[\w.-]+", text)}
    assert mails == {"@example.com"}
