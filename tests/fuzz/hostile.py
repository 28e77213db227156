"""What people, programs and broken files send: texts that once broke some program somewhere (common practice)."""

import os
from datetime import timedelta
from typing import Any, Final

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

LONG: Final = os.environ.get("EVENKEEL_FUZZ_EXAMPLES")
# A fixed choice of examples: a run of CI that fails, fails again. The deadline is for hangs; machines are shared.
fixed = settings(
    max_examples=int(LONG or 60),
    derandomize=not LONG,
    database=None,
    deadline=timedelta(seconds=10),
    suppress_health_check=list(HealthCheck),
)

HUGE: Final = "9" * 400
TEXTS: Final = (
    "",
    " ",
    "\x00",
    "a\x00b",
    "\ud800",  # half of a surrogate pair: no text in UTF-8
    "\udfff tail",
    "\u202eabc\u202c",  # right to left, then back
    "مرحبا",
    "🔊🔊",
    "e\u0301\u200b\u200d",
    "\ufeff",
    "\u2028",
    "a\r\nb",
    "\x1b[31m",
    "nan",
    "inf",
    "-Infinity",
    "1e400",
    "-1",
    "-0",
    "0",
    "1e308",
    "5e-324",
    "1,5",
    "0x10",
    "1_000",
    "٣",  # a digit, though no ASCII one
    "²",
    HUGE,
    f"-{HUGE}",
    "1" + "0" * 400,
    "9223372036854775808",
    "=1+1",
    "@SUM(A1)",
    "-2+3",
    "'=1+1",
    "<script>alert(1)</script>",
    "&lt;b&gt;\"'",
    "{{ 7|add:7 }}{% now 'Y' %}",
    "'; DROP TABLE client_sites_site; --",
    "%s%n%(a)s",
    "../../etc/passwd",
    "0000-00-00",
    "0001-01-01",
    "9999-12-31T23:59",
    "2026-02-30",
    "2026-03-29T01:30",
    "2026-11-25T10:00:00+99:99",
    "2026-11-25T10:00+23:59",
    "24:00",
    "None",
    "null",
    "true",
    "[]",
    "x" * 20_000,
    "/" * 300,
    "(" * 300,
)
# What JSON can hold beside texts; the last ones need a body that is written by hand (`bodies.written`).
VALUES: Final[tuple[Any, ...]] = (
    None,
    True,
    False,
    0,
    -1,
    1,
    2**31,
    2**63,
    -(2**63) - 1,
    10**400,
    0.5,
    -0.0,
    1e308,
    5e-324,
    float("inf"),
    float("nan"),
    [],
    [[]],
    [None],
    {},
    {"a": {"b": []}},
    {"": ""},
)

signs = st.characters() | st.sampled_from("\x00\ud800\u202e\u200b\u2028🔊=@+-'\"<&;,\n\r\t")
texts = st.sampled_from(TEXTS) | st.text(signs, max_size=60)
"""Any text, lone surrogates included."""


def decodable(text: str) -> bool:
    """Return whether a text can be sent at all: lone surrogates have no bytes."""
    return text.encode("utf-8", "ignore").decode() == text


@st.composite
def near(draw: st.DrawFn, *examples: str) -> str:
    """Something sound with a few signs dropped, doubled or replaced; or any text at all."""
    if draw(st.integers(0, 4)) == 0:
        return draw(texts)
    text = draw(st.sampled_from(examples))
    for _ in range(draw(st.integers(0, 4))):
        at = draw(st.integers(0, len(text)))
        sign = draw(st.sampled_from(["", text[at : at + 1] * 2, *"0917.,-+eE:;=/ TZ'\"#()|", draw(signs)]))
        text = text[:at] + sign + text[at + draw(st.integers(0, 1)) :]
    return text
