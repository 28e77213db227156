"""Every reader of text: a value or a ValueError that says something, never another exception, never a hang.

What has a format comes back from it as it went in.
"""

import io
import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, Final

import pytest
from django.core.exceptions import ValidationError
from django.test import RequestFactory
from hypothesis import given
from hypothesis import strategies as st
from rest_framework.exceptions import ParseError

from registry.api.parsing import BoundedJSONParser
from registry.engineering.unit_words import TARGETS
from registry.engineering.units import read_cable_size, read_quantity, show_quantity
from registry.exchange.cells import show
from registry.exchange.columns import cable_size, iso_date, iso_moment, watts
from registry.exchange.folder import SurveyRefusedError, files_of_zip, read_tables
from registry.exchange.network_sweep import SweepRefusedError, read_sweep
from registry.exchange.survey_format import FILES
from registry.logs import without_secrets
from registry.reports.glyphs import printable
from registry.reports.plain_words import without_addresses
from registry.search.folding import compact, fold, spellings
from registry.visits.recurrence import read_rule
from registry.visits.rule_choices import Choices, On, Unit, choices_of, rule_words
from registry.visits.sayings import proposals
from registry.web.accounts.address import client_address
from registry.web.visit_plans.month import month_asked
from registry.web.workbench.catalogue import CALCULATIONS
from sites.addresses import host_ip_address, host_mac_address, mac_address
from sites.models import Site
from sites.quoting import quote_formula, unquote_formula
from sites.secret_scan import refuse_secret, refuse_secret_itself, secrets_in
from tests.exchange.small_survey import SMALL
from tests.fuzz.hostile import fixed, near, texts

Reader = Callable[[str], Any]
NOW: Final = datetime(2026, 11, 25, 12, tzinfo=UTC)
SITE: Final = Site(code="hall", time_zone="Europe/London")
QUANTITIES: Final = ("60 ft", "5' 6\"", "5 ft 6 in", "1.5e3", "2 kg", "18 AWG", "-9.5 dB", "1,5 m", "10%", "70 °F")
RULES: Final = (
    *("FREQ=MONTHLY;INTERVAL=6;BYDAY=1TU;COUNT=4", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=29;UNTIL=20401231T235959Z"),
    *(
        "RRULE:FREQ=WEEKLY;BYDAY=MO,WE;WKST=SU",
        "FREQ=YEARLY;BYWEEKNO=53;BYDAY=SU;BYSETPOS=-1",
        "FREQ=DAILY;INTERVAL=366",
    ),
)
WORDS: Final = (
    *(
        "enable secret 5 $1$abcd$efghijklmnop",
        "password = hunter2",
        "snmp-server community public RO",
        "the key is in the safe",
    ),
    *("pw: 'aB3$xY9!'", "token,abc\nname,x", "Amp 1 is 192.0.2.7/24 (02:00:5e:10:00:01)", "GET /calendar/abc.ics 200"),
    "No music in the bar, the hall is fine; hums since the power cut",
)
READERS: Final[dict[str, tuple[Reader, tuple[str, ...]]]] = {
    **{
        f"quantity in {unit}": (lambda text, unit=unit: read_quantity(text, unit), QUANTITIES)
        for unit in ("m", "dB", "degC", "%")
    },
    "cable": (cable_size, ("18 AWG", "4/0 AWG", "awg18", "1.50mm²", "1.5 mm2")),
    "taps": (watts, ("10 5 2.5", "60 W 30 W")),
    "day": (iso_date, ("2026-02-28", "2024-02-29")),
    "moment": (iso_moment, ("2026-02-28T14:30", "2026-02-28 14:30:15.25+01:00", "2026-02-28T14:30Z")),
    "MAC": (host_mac_address, ("02:00:5e:10:00:01", "0000.5e00.5307", "00-00-5E-00-53-07")),
    "IP": (host_ip_address, ("192.0.2.14", "2001:DB8::0A", "fe80::1%eth0", "::ffff:192.0.2.1")),
    "rule": (read_rule, RULES),
    "rule in words": (rule_words, RULES),
    "secret in prose": (refuse_secret, WORDS),
    "secret itself": (refuse_secret_itself, WORDS),
}
# What takes any text there is and finds something in it, or nothing.
TAKERS: Final[dict[str, Reader]] = {
    "secrets in a table": lambda text: secrets_in(text, table=True),
    "sayings": lambda text: proposals(text, ["Bar", "Hall", "("], about=["Bar"]),
    "log": without_secrets,
    "owner's words": lambda text: without_addresses(text, ["amp-1", "(["]),
    "print": printable,
    "search": spellings,
    "month": lambda text: month_asked(text, NOW.date()),
    "sender": lambda text: client_address(RequestFactory().get("/", REMOTE_ADDR=text, HTTP_X_FORWARDED_FOR=text)),
}


@pytest.mark.parametrize("name", READERS)
def test_a_reader_returns_a_value_or_says_what_is_wrong(name: str) -> None:
    read, examples = READERS[name]

    @fixed
    @given(near(*examples))
    def reads(text: str) -> None:
        try:
            read(text)
        except ValidationError as error:
            assert all(error.messages)
        except ValueError as error:
            assert type(error) is ValueError and str(error)

    reads()


@pytest.mark.parametrize("name", TAKERS)
def test_any_text_is_looked_through(name: str) -> None:
    @fixed
    @given(near(*WORDS, "2026-12", "192.0.2.1, 198.51.100.2", "Café ZÜRICH"))
    def looks(text: str) -> None:
        TAKERS[name](text)

    looks()


COLUMNS: Final = {f"{file.name} {column.name}": (file, column) for file in FILES for column in file.columns}


@fixed
@given(texts)
def test_every_column_of_a_survey_reads_a_cell_or_says_what_is_wrong(text: str) -> None:
    for name, (_, column) in COLUMNS.items():
        try:
            found = column.read(text)
        except ValueError as error:
            assert str(error), name
        else:
            # What was read goes out by an export, and comes in again as the same.
            shown = " ".join(show(part) for part in found) if isinstance(found, list) else show(found)
            assert not shown or column.read(shown) == found, name


INPUTS: Final = {f"{name} {each.name}": each for name, found in CALCULATIONS.items() for each in found.inputs}


@fixed
@given(near(*QUANTITIES, "8 + 8 | (4 + LS1=4)", "LS1 8 ohm open, LS2 4 ohm", "a: 1 2 3\nb: 4"))
def test_every_input_of_the_workbench_reads_what_is_typed_or_says_what_is_wrong(text: str) -> None:
    for name, each in INPUTS.items():
        try:
            each.kind.read(text[: each.kind.longest])
        except ValueError as error:
            assert str(error), name


@fixed
@given(st.sampled_from(sorted(SMALL)), st.data())
def test_survey_files_and_sweeps_of_any_bytes_are_read_or_refused_with_the_place(
    name: str, data: st.DataObject
) -> None:
    content = data.draw(
        st.binary(max_size=200) | near(SMALL[name]).map(lambda text: text.encode("utf-8", "surrogatepass"))
    )
    sweep = data.draw(
        near("ip,mac,seen\n192.0.2.1,02005e100001,2026-11-12T10:30\n", '[{"ip": "192.0.2.1", "mac": null}]')
    )
    try:
        read_tables({name: content})
    except SurveyRefusedError as refused:
        assert refused.problems
    for each in (content, sweep.encode("utf-8", "surrogatepass")):
        try:
            read_sweep("a.csv", each, site=SITE, at=NOW)
        except SweepRefusedError as refused_sweep:
            assert refused_sweep.problems
            str(refused_sweep).encode()  # it is shown on a page


@fixed
@given(st.binary(max_size=300))
def test_a_zip_is_read_or_refused(content: bytes) -> None:
    for each in (content, b"PK\x03\x04" + content, b"PK\x05\x06" + content[:18].ljust(18, b"\0")):
        try:
            files_of_zip(each, most_bytes=10_000)
        except SurveyRefusedError as refused:
            assert refused.problems


@fixed
@given(
    st.binary(max_size=100)
    | near('{"name": "\\ud800"}', "[1e400]", '{"a": [NaN]}').map(lambda text: text.encode("utf-8", "replace"))
)
def test_a_body_is_data_that_can_be_written_again_or_no_json(content: bytes) -> None:
    try:
        data = BoundedJSONParser().parse(io.BytesIO(content))
    except ParseError as error:
        assert error.detail
    else:
        json.dumps(data, ensure_ascii=False).encode()


def test_a_sweep_with_half_of_a_sign_is_refused_in_words_that_can_be_shown() -> None:
    for host in (
        r'{"ip": "192.0.2.1", "mac": "\ud800"}',
        r'{"ip": "192.0.2.1", "hostname": "a\udfff"}',
        r'{"\ud83d": 1}',
    ):
        with pytest.raises(SweepRefusedError) as refused:
            read_sweep("a.json", f"[{host}]".encode(), site=SITE, at=NOW)
        str(refused.value).encode()


def test_a_body_with_half_of_a_sign_is_refused_wherever_it_stands() -> None:
    for text in (r'{"name": "\ud800"}', r'{"\udfff": 1}', r'[["\ud83d"]]'):
        with pytest.raises(ParseError, match="half of a sign"):
            BoundedJSONParser().parse(io.BytesIO(text.encode()))
    assert BoundedJSONParser().parse(io.BytesIO(rb'"\ud83d\ude00"')) == "😀"


finite = st.floats(min_value=-1e300, max_value=1e300, allow_nan=False)


@fixed
@given(finite, st.sampled_from(sorted(TARGETS)))
def test_a_number_is_read_as_it_is_written(value: float, unit: str) -> None:
    assert show_quantity(value, unit)
    if "e" not in f"{value:g}" and len(text := f"{value:.12g}") <= 40 and "e" not in text:
        assert read_quantity(text, unit) == float(text)


@fixed
@given(
    texts,
    finite,
    st.dates(date(1950, 1, 1), date(2099, 12, 31)),
    st.datetimes(datetime(1950, 1, 1), datetime(2099, 1, 1)),  # noqa: DTZ001 (the site's clock)
)
def test_what_a_cell_shows_is_read_as_the_same(text: str, number: float, day: date, moment: datetime) -> None:
    assert unquote_formula(quote_formula(text)) == text
    assert float(show(number)) == number
    assert (iso_date(show(day)), iso_moment(show(moment))) == (day, moment)
    assert Decimal(show(Decimal(f"{abs(number) % 1e6:.2f}"))) == Decimal(f"{abs(number) % 1e6:.2f}")


@fixed
@given(st.binary(min_size=6, max_size=6), st.ip_addresses(), st.integers(0, 40), texts)
def test_one_spelling_is_read_as_itself(mac: bytes, ip: Any, gauge: int, text: str) -> None:
    assert mac_address(mac.hex("-")) == mac_address(mac_address(mac.hex())) == mac.hex(":")
    try:
        assert host_ip_address(host_ip_address(str(ip))) == host_ip_address(str(ip))
    except ValueError as error:
        assert "IP address" in str(error)
    assert read_cable_size(read_cable_size(f"{gauge} AWG")) == read_cable_size(f"{gauge}AWG")
    assert (fold(fold(text)), compact(compact(text))) == (fold(text), compact(text))


chosen = st.builds(
    Choices,
    every=st.integers(1, 12),
    unit=st.sampled_from(Unit),
    on=st.sampled_from(On),
    month_day=st.integers(1, 31),
    nth=st.sampled_from([1, 2, 3, 4, -1]),
    weekday=st.integers(0, 6),
    month=st.integers(1, 12),
    count=st.none() | st.integers(1, 20),
)


@fixed
@given(chosen)
def test_a_plans_choices_come_back_from_the_text_of_their_rule(choices: Choices) -> None:
    try:
        rule = read_rule(choices.rule())
    except ValueError as error:  # the 31st of February
        assert str(error)
        return
    found = choices_of(rule)
    assert found is not None
    assert (read_rule(rule.text), found.rule(), found.words()) == (rule, choices.rule(), choices.words())
