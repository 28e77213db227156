"""The library's codes against RFC 6238, appendix B (SHA-1 rows): the key below, 8 digits, steps of 30 s."""

import pytest
from django_otp.oath import totp as library_totp

from tests.web.accounts.totp import totp

KEY = b"12345678901234567890"
APPENDIX_B = (
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
)


@pytest.mark.parametrize(("at", "code"), APPENDIX_B)
def test_codes_are_those_of_the_rfc(at: int, code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("time.time", lambda: float(at))
    monkeypatch.setattr("django_otp.oath.time", lambda: float(at), raising=False)
    assert f"{library_totp(KEY, digits=8):08d}" == code
    assert totp(KEY, at=at, digits=8) == code
